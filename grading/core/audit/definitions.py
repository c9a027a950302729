"""Stitches that a row explains itself: `MB = 5 dc in one st closed together`, `(a cluster is …)`."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Token

Defined = dict[str, Stitch]
NAME_LENGTH = 3
HEAD_LENGTH = 16  # a bracket, an article, a name and what says that it is a definition


def take_definitions(tokens: list[Token], craft: str) -> tuple[list[Token], Defined]:
    """The tokens without the definitions among them, and the stitches that these define."""
    defined: Defined = {}
    rest: list[Token] = []
    index = 0
    while index < len(tokens):
        begins = _begins(tokens, index) and _may_define(tokens[index : index + HEAD_LENGTH])
        end = _clause_end(tokens, index) if begins else index
        found = _definition(_inside(tokens[index:end]), craft) if end > index else None
        if found is None:
            rest.append(tokens[index])
            index += 1
        else:
            defined |= found
            index = end
    return rest, defined


def _begins(tokens: list[Token], index: int) -> bool:
    return tokens[index].text in "([" or index == 0 or tokens[index - 1].text in ".;"


def _clause_end(tokens: list[Token], start: int) -> int:
    """Where the bracket or the sentence that begins at `start` ends."""
    bracketed = tokens[start].text in "(["
    depth = 0
    for index in range(start, len(tokens)):
        text = tokens[index].text
        depth += (text in "([") - (text in ")]")
        if bracketed and depth == 0:
            return index + 1
        if not bracketed and depth <= 0 and text in ".;":
            return index
    return len(tokens)


def _inside(tokens: list[Token]) -> list[Token]:
    inside = tokens[1:-1] if tokens and tokens[0].text in "([" else tokens
    return inside[:-1] if inside and inside[-1].text == "." else inside


def _may_define(head: list[Token]) -> bool:
    """Whether a clause that begins so may be a definition; most are none, and are not read to their end."""
    return _read_name(Cursor(_without_opening(head))) is not None


def _without_opening(tokens: list[Token]) -> list[Token]:
    return tokens[1:] if tokens and tokens[0].text in "([" else tokens


def _read_name(cursor: Cursor) -> list[str] | None:
    """Read what is defined, with the word that says so where there is one; None where no name stands."""
    cursor.word("a", "an", "the", "each", "work", "one")
    names: list[str] = []
    while not cursor.ended() and not cursor.phrase(words.DEFINES):
        token = cursor.tokens[cursor.place]
        if len(names) > NAME_LENGTH or (token.kind != "word" and token.text not in ("(", ")")):
            return None
        names.append(token.text)
        cursor.place += 1
    return names


def _definition(tokens: list[Token], craft: str) -> Defined | None:
    cursor = Cursor(tokens)
    names = _read_name(cursor)
    if not names or cursor.ended():
        return None
    stitch = _defined_stitch(cursor, " ".join(names))
    return None if stitch is None else dict.fromkeys(_names(names), stitch)


def _names(names: list[str]) -> list[str]:
    """`make bobble ( mb )` has two names, each with its plural."""
    whole = " ".join(names)
    before, _, inside = whole.partition(" ( ")
    forms = [before, inside.removesuffix(" )")] if inside else [before]
    return [form for name in forms if name for form in (name, f"{name}s")]


def _defined_stitch(cursor: Cursor, name: str) -> Stitch | None:
    """What is closed together leaves one; a fan of so many in one stitch leaves so many."""
    texts = cursor.texts[cursor.place :]
    if words.HEAD_NEVER.intersection(texts):
        return None
    if set(texts) & words.CLOSED_WORDS:
        takes = _places(cursor, texts)
        return None if takes is None else Stitch(name, takes, 1)
    number = cursor.number()
    if not isinstance(number, int) or cursor.now() is None:
        return None
    cursor.place += 1
    cursor.word("all", "worked")
    one = cursor.phrase(words.IN_ONE) and cursor.ended()
    return Stitch(name, 1, number) if one else None


def _places(cursor: Cursor, texts: list[str]) -> int | None:
    """How many stitches beneath it is worked over."""
    for place in range(cursor.place, len(cursor.tokens)):
        cursor.place = place
        if cursor.phrase(words.IN_ONE):
            return 1
        if cursor.word("over", "across"):
            cursor.phrase(words.NEXT)
            number = cursor.number()
            return number if isinstance(number, int) and cursor.phrase(words.STITCH_NOUNS) else None
    return 1 if "of" in texts or "unfinished" in texts else None
