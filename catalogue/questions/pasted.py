"""An e-mail as it is pasted, without what tells who wrote it."""

import re

_SUBJECT = re.compile(r"(?i)^\s*subject\s*:")
_BEFORE_WORDS = re.compile(
    r"(?i)^\s*((from|to|cc|bcc|reply-to|date|sent|subject|message-id|return-path|received|x-[a-z-]+)\s*:.*|"
    r"(dear|hello|hi|hey|good (morning|afternoon|evening|day))\b[^.?!]{0,40}[,!.]?\s*)?$"
)
_QUOTE_BEGINS = re.compile(
    r"(?i)^\s*(on .{4,120}wrote:|-{2,}\s*(original|forwarded) message\s*-*|_{10,})\s*$"
)
_SIGNATURE = re.compile(r"^-- ?$")
_CLOSING = re.compile(
    r"(?i)^\s*((with|many|kind|kindest|best|warm|warmest)\s+)*"
    r"(regards|wishes|thanks|thank you|thank you very much|thanks a lot|cheers|sincerely|love|all the best|"
    r"yours( (sincerely|faithfully|truly))?|happy (crocheting|knitting))\s*[,.!]*\s*$"
)
_ADDRESS = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_PHONE = re.compile(r"\+\d[\d ()/.-]{6,}\d")
MOST_AFTER_CLOSING, LONGEST_AFTER_CLOSING = 5, 60


def without_sender(text: str) -> str:
    r"""The words of an e-mail without its head, greeting, closing, signature, quotes, addresses and numbers.

    What else tells of somebody can't be known: whoever pasted it reads it again.

    >>> without_sender("From: ida@larkmoss.example\n\nHi Runa,\nWhich row is next?\n\nThanks,\nIda")
    'Which row is next?'
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    lines = [line for line in _up_to_quote(lines) if not line.lstrip().startswith(">")]
    lines = _without_closing(_without_head(lines))
    found = re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()
    return _PHONE.sub("[number]", _ADDRESS.sub("[address]", found))


def _without_head(lines: list[str]) -> list[str]:
    """The lines behind the head of an e-mail and its greeting; its subject stays."""
    begins = 0
    while begins < len(lines) and _BEFORE_WORDS.match(lines[begins]):
        begins += 1
    return [*(line for line in lines[:begins] if _SUBJECT.match(line)), *lines[begins:]]


def _up_to_quote(lines: list[str]) -> list[str]:
    """The lines before a signature or the e-mail that is answered; all where these begin at once."""
    for place, line in enumerate(lines):
        if _SIGNATURE.match(line) or _QUOTE_BEGINS.match(line):
            return lines[:place] if any(one.strip() for one in lines[:place]) else lines[place + 1 :]
    return lines


def _without_closing(lines: list[str]) -> list[str]:
    """The lines before “Kind regards” and the name below, where no more than a name follows."""
    for place, line in enumerate(lines):
        after = [one for one in lines[place + 1 :] if one.strip()]
        is_name = len(after) <= MOST_AFTER_CLOSING and all(len(one) <= LONGEST_AFTER_CLOSING for one in after)
        if is_name and _CLOSING.match(line):
            return lines[:place]
    return lines
