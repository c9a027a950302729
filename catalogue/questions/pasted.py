"""An e-mail as it is pasted, without what tells who wrote it."""

import datetime as dt
import re
from collections.abc import Iterable
from email.utils import parsedate_to_datetime

_BEFORE_WORDS = re.compile(
    r"(?i)^\s*((from|to|cc|bcc|reply-to|date|sent|subject|message-id|return-path|received|x-[a-z-]+)\s*:.*|"
    r"(dear|hello|hi|hey|good (morning|afternoon|evening|day))\b[^.?!]{0,40}[,!.]?\s*)?$"
)
_DAY = re.compile(r"(?i)^\s*(?:date|sent)\s*:\s*(.+)$")
# A day in words, whatever weekday stands before it and whatever time behind it.
_WRITTEN_DAYS = (
    (re.compile(r"\b(\d{4}-\d{2}-\d{2})\b"), "%Y-%m-%d"),
    (re.compile(r"\b(\d{1,2} [A-Za-z]{3} \d{4})\b"), "%d %b %Y"),
    (re.compile(r"\b(\d{1,2} [A-Za-z]+ \d{4})\b"), "%d %B %Y"),
    (re.compile(r"\b([A-Za-z]{3} \d{1,2},? \d{4})\b"), "%b %d %Y"),
    (re.compile(r"\b([A-Za-z]+ \d{1,2},? \d{4})\b"), "%B %d %Y"),
)
_QUOTE_BEGINS = re.compile(
    r"(?i)^\s*(on .{4,120}wrote:|-{2,}\s*(original|forwarded) message\s*-*|_{10,})\s*$"
)
_SIGNATURE = re.compile(r"^-- ?$")
_CLOSING = re.compile(
    r"(?i)^\s*((with|so|very|many|much|kind|kindest|best|warm|warmest|lots of|all my)\s+)*"
    r"(regards|wishes|(thanks|thank you)( (so|very) much| a lot| again| in advance| for your help)*|cheers|"
    r"sincerely|love|hugs|best|warmly|all the best|take care|yours( (sincerely|faithfully|truly))?|"
    r"br|kr|rgds|thx|tia|x{1,3}|xo(xo)?|happy (crocheting|knitting))(\s+from)?\s*[,.!–-]*\s*$"
)
_ADDRESS = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_PHONE = re.compile(
    r"\+\d[\d ()/.-]{6,}\d|\b0\d[\d ()/.-]{6,}\d\b|\(\d{3}\) ?\d{3}[ -]\d{4}\b|\b\d{3}[-.]\d{3}[-.]\d{4}\b"
)
_WEB = re.compile(r"(?i)\b(?:https?://|www\.)\S+")
_SITE = re.compile(r"(?i)^[\w-]+(\.[\w-]+)*\.[a-z]{2,}(/\S*)?$")
_SENT_FROM = re.compile(r"(?i)^\s*(sent|written|typed) (from|with|on) (my|an?|the) .{2,60}$")
_CONTACT_BEGINS = re.compile(r"(?i)^\s*(phone|tel|telephone|mobile|cell|web|website|e-?mail)\s*[.:]\s*")
_NAME = re.compile(r"^\W{0,3}[^\W\d_a-z][\w’'-]+( [^\W\d_a-z][\w’'-]*\.?){0,3}\W{0,4}$")
_WITHIN = re.compile(r"(?<=[\w,;] )[A-Z][a-z’'-]{2,}\b")
_LONG_NUMBER = re.compile(r"(?<![\w@])(?:@\w{2,}|\d{5,})(?!\w)")
# Words with a capital that name no person: a line of them alone is no signature.
_NO_NAMES = frozenset(
    re.findall(
        r"\w+",
        "size sizes row rows round rounds step section version colour color chart option back front sleeve "
        "sleeves yoke hood neck body hem cuff collar pocket left right side sides part repeat pattern yarn "
        "hook needle january february march april may june july august september october november december "
        "monday tuesday wednesday thursday friday saturday sunday english american british please",
    )
)
MOST_AFTER_CLOSING, LONGEST_AFTER_CLOSING, MOST_TOLD = 5, 60, 6


def without_sender(text: str) -> str:
    r"""The words of an e-mail without its head, greeting, closing, signature, quotes, addresses and numbers.

    What else tells of somebody can't be known: whoever pasted it reads it again.

    >>> without_sender("From: ida@larkmoss.example\n\nHi Runa,\nWhich row is next?\n\nThanks,\nIda")
    'Which row is next?'
    """
    lines = [line for line in _up_to_quote(_lines(text)) if not line.lstrip().startswith(">")]
    lines = _without_contact(_without_closing(_without_contact(_without_head(lines))))
    found = re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()
    return _PHONE.sub("[number]", _WEB.sub("[web link]", _ADDRESS.sub("[address]", found)))


def sent_day(text: str, today: dt.date) -> dt.date | None:
    r"""The day of the “Date:” or “Sent:” line of an e-mail; None where it has none, or none that has been.

    >>> sent_day("Date: Mon, 2 Mar 2026 10:00:00 +0100\n\nWhich row?", dt.date(2026, 5, 1))
    datetime.date(2026, 3, 2)
    """
    for line in _lines(text):
        if not _BEFORE_WORDS.match(line):
            return None
        if found := _DAY.match(line):
            day = _read_day(found[1])
            return day if day and day <= today else None
    return None


def telling_words(text: str, known: Iterable[str] = ()) -> list[str]:
    """What looks like a name or a number in kept words, each once; words of the pattern's own are known.

    >>> telling_words("Does the hem of Brackenmere end on row 12? My neighbour Ida says so.", ["Brackenmere"])
    ['Ida']
    """
    own = {word.casefold() for one in known for word in re.findall(r"[\w’'-]+", one)} | _NO_NAMES
    names = [word for word in _WITHIN.findall(text) if word.casefold() not in own]
    return list(dict.fromkeys([*names, *_LONG_NUMBER.findall(text)]))[:MOST_TOLD]


def _lines(text: str) -> list[str]:
    """The lines of a text, however they end."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _read_day(words: str) -> dt.date | None:
    """A day as e-mails write it; a month that is a number is not guessed."""
    try:
        return parsedate_to_datetime(words).date()
    except ValueError:
        pass
    for pattern, form in _WRITTEN_DAYS:
        if found := pattern.search(words):
            try:
                return dt.datetime.strptime(found[1].replace(",", ""), form).date()  # noqa: DTZ007 - a day has no zone
            except ValueError:
                continue
    return None


def _without_head(lines: list[str]) -> list[str]:
    """The lines behind the head of an e-mail and its greeting."""
    begins = 0
    while begins < len(lines) and _BEFORE_WORDS.match(lines[begins]):
        begins += 1
    return lines[begins:]


def _without_contact(lines: list[str]) -> list[str]:
    """The lines before a name, a telephone number and web addresses that stand alone at the end."""
    kept, has_contact = list(lines), False
    while kept and (not kept[-1].strip() or _is_contact(kept[-1])):
        has_contact = has_contact or bool(kept[-1].strip())
        kept.pop()
    stands_alone = len(kept) > 1 and (has_contact or not kept[-2].strip())
    return kept[:-1] if stands_alone and _is_name(kept[-1]) else kept


def _is_contact(line: str) -> bool:
    """Whether a line is nothing but how to reach somebody, or what it was sent from."""
    words = _CONTACT_BEGINS.sub("", line).strip()
    alone = (_ADDRESS, _PHONE, _WEB, _SITE)
    return bool(_SENT_FROM.match(line)) or any(one.fullmatch(words) for one in alone)


def _is_name(line: str) -> bool:
    """Whether a line is a name and nothing else: a few words with capitals, none of the trade."""
    words = line.strip()
    is_asked = words.endswith(("?", ":"))
    return bool(_NAME.match(words)) and not is_asked and not _NO_NAMES & set(words.casefold().split())


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
        if is_name and _is_closing(line):
            return lines[:place]
    return lines


def _is_closing(line: str) -> bool:
    """Whether a line ends an e-mail, alone or with the name behind a comma: “BR” or “Best, Ida”."""
    words, comma, name = line.rpartition(",")
    return bool(_CLOSING.match(line)) or bool(comma and _CLOSING.match(words) and _is_name(name))
