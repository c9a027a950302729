"""Written rates, as `7 in every 5 row ends` or `skip every 9th st`: worked along the edge they speak of."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.edge_reading import read_rate_of
from grading.core.audit.places import read_kind
from grading.core.audit.rows import Audited
from grading.core.audit.size_states import SizeState
from grading.core.audit.tokens import Token, cut_tokens
from grading.core.audit.tree import Kind
from grading.core.pattern.pattern import PickUpEntry

SKIPPING = ("skip", "skipping", "miss", "missing", "omit", "omitting")


@dataclass(frozen=True)
class WrittenRate:
    """So many stitches in every so many places, or one of `per` places skipped; `first` counts tokens."""

    take: int
    per: int
    along: str
    skips: bool
    first: int
    start: int
    end: int

    def stitches(self, places: int) -> tuple[float, float]:
        """The fewest and the most stitches that the rate gives along so many places.

        What is left after the last whole group takes its share, rounded either way; where every so
        many places one is skipped, each of the others takes one, and nothing is left open.
        """
        if self.skips:
            exact = places - places // self.per
            return exact, exact
        exact_share = places * self.take / self.per
        is_whole = places % self.per == 0
        return (exact_share, exact_share) if is_whole else (exact_share - 1, exact_share + 1)


def written_rates(tokens: Sequence[Token], craft: str) -> list[WrittenRate]:
    """Find the rates that a sentence writes in whole numbers.

    Args:
        tokens: The sentence, cut.
        craft: crochet, knitting or tunisian.

    Returns:
        The rates in their order.

    Source: common practice for the words.

    >>> [(one.take, one.per) for one in written_rates(cut_tokens("22 hdc, 7 in every 5 row ends"), "crochet")]
    [(7, 5)]
    """
    cursor, found = Cursor(list(tokens)), list[WrittenRate]()
    while not cursor.ended():
        at = cursor.place
        rate = cursor.attempt(lambda: _rate(cursor, craft)) or cursor.attempt(lambda: _skipped(cursor, craft))
        if rate is None:
            cursor.place += 1
            continue
        take, per, along, skips = rate
        last = tokens[cursor.place - 1]
        found.append(WrittenRate(take, per, along, skips, at, tokens[at].start, last.end))
    return found


def with_rates(state: SizeState, text: str, audited: Audited | None) -> Audited | None:
    """Compare the rates that a sentence writes with the stitches that it states.

    Args:
        state: The account, which knows the pick-ups that the sentences before have named.
        text: The sentence.
        audited: What was found in it so far.

    Returns:
        The same, or with a rate that does not give its stitches, or can't be compared.

    Source: derived.
    """
    tokens = cut_tokens(text)
    pick_ups = {one.name: one for one in state.audit.pattern.pick_ups}
    for rate in written_rates(tokens, state.craft):
        before = [pick_ups[str(token.value)] for token in tokens[: rate.first] if token.value in pick_ups]
        counts = [token for token in tokens[: rate.first] if token.kind == "number"]
        of = next(
            (one for one in (*reversed(before), *reversed(state.picked)) if one.along == rate.along), None
        )
        words_of = text[rate.start : rate.end]
        if of is None:
            if counts and audited is not None and audited.verdict == "agrees":
                says = f"“{words_of}” can’t be compared: write the stitches as the name of a pick-up"
                audited = replace(audited, verdict="unreadable", says=says, start=rate.start, end=rate.end)
            continue
        says = _wrong_rate(state, rate, of, words_of)
        if says:
            found = audited or Audited(None, None, state.stitches(), None, None, "disagrees", "")
            known = found.says if found.verdict == "disagrees" else ""
            audited = replace(found, verdict="disagrees", says="; ".join(filter(None, (known, says))))
    state.picked += [pick_ups[str(token.value)] for token in tokens if token.value in pick_ups]
    return audited


def _wrong_rate(state: SizeState, rate: WrittenRate, of: PickUpEntry, words_of: str) -> str:
    """What the rate gives along the counted edge, where that is not what is stated."""
    places, stitches = (state.audit.facts.row(one)[state.size] for one in (of.count, of.name))
    if places is None or stitches is None or places != int(places):
        return ""
    least, most = rate.stitches(int(places))
    if least <= stitches <= most and (least == most or least < stitches < most):
        return ""
    given = least if least == most else (least + most) / 2
    kind = "row ends" if rate.along == "row ends" else "sts"
    return f"“{words_of}” gives {given:.0f} sts along {places:.0f} {kind}, {stitches:.0f} are stated"


def _rate(cursor: Cursor, craft: str) -> tuple[int, int, str, bool] | None:
    """`7 in every 5 row ends`, `3 sts for every 4 sts`."""
    number = cursor.number()
    if not isinstance(number, int):
        return None
    cursor.phrase(words.STITCH_NOUNS)
    rate = cursor.attempt(lambda: read_rate_of(cursor, number))
    if rate is not None:
        take, every = rate.take, rate.per
        is_whole = isinstance(take, int) and isinstance(every, int) and every > 0
        return (int(take), int(every), "row ends", False) if is_whole and every is not None else None
    if not cursor.phrase(words.AT_RATE) or not cursor.word("every", "each"):
        return None
    per = cursor.number()
    is_rate = isinstance(per, int) and per > 0 and read_kind(cursor, craft) is Kind.STITCH
    return (number, int(per), "stitches", False) if is_rate and per is not None else None


def _skipped(cursor: Cursor, craft: str) -> tuple[int, int, str, bool] | None:
    """`skip every 9th st`, `missing every 4th row end`."""
    if not cursor.word(*SKIPPING) or not cursor.word("every", "each"):
        return None
    per = cursor.ordinal()
    if per is None or per < 1:
        return None
    if cursor.phrase(words.ROW_END_NOUNS):
        return 1, per, "row ends", True
    return (1, per, "stitches", True) if read_kind(cursor, craft) is Kind.STITCH else None
