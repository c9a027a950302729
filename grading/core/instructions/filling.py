"""What is printed in place of each reference, for one edition and the sizes that are kept."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import nan
from typing import Literal, cast

from grading.core.instructions.facts import Facts, more_of_rounds
from grading.core.instructions.reference_checks import name_problem
from grading.core.instructions.references import METRIC_UNITS, Reference, Written
from grading.core.instructions.sides import OPPOSITE
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.curve_sentences import At, curve_lines
from grading.core.printing.edition import PrintForm, Units
from grading.core.printing.measures import PrintedList, printed_lists
from grading.core.printing.numbers import (
    half_up,
    needs_table,
    number_list,
    print_cm,
    print_count,
    print_inches,
)
from grading.core.printing.pick_up_sentences import pick_up_lines, pick_up_sentence
from grading.core.printing.sentences import merged_lines, shaping_sentence, stripe_words
from grading.core.printing.shaping_sentences import ShapingWords, shaping_lines
from grading.core.printing.spread_sentences import spread_lines, spread_sentence
from grading.core.printing.wording import Voice, small
from grading.core.shaping.spreads import SpreadPlan
from grading.core.yarn.stripes import StripeRepeat

MARK = "\ue000"  # stands for a reference while terms are replaced; not a character of any text

# The author tells the stitches at the end: "({cuff_stitches} sts)".
_COUNT_AFTER = re.compile(rf"\((?:{MARK}|\d+) [a-z]")
# Words of the author for what is counted, after a number that is 1 in every size printed.
_PLURAL_AFTER = re.compile(
    r"( (?:more )?)(st|row|round|rnd|time|button|buttonhole|repeat|loop|marker|stripe|place|end)s\b"
)
# A row of a table that sentences name only by what is counted.
_NAMED_BY_COUNT = "Stitches"
_SENTENCE = re.compile(r"(?:Work|Pick up|Increase|Decrease|Change|Make) ")
_AT_ONCE = re.compile(r"\bsame time\b", re.IGNORECASE)


@dataclass(frozen=True)
class Stretch:
    """A stretch of a printed step: the author's Markdown, plain words filled in, or lines.

    `name` is the entry of the pattern that what is filled in comes from, "" where it comes from none;
    of the mark of a help it is the help.
    """

    kind: Literal["written", "filled", "lines", "help"]
    texts: tuple[str, ...]
    name: str = field(default="", compare=False)


@dataclass(frozen=True)
class TableRow:
    """Numbers too many for a line: the key that stands for them, what they are, one per size printed."""

    key: str
    label: str
    unit: str
    texts: tuple[str | None, ...]


class Filler:
    """Fills references for the sizes kept; `table` gathers rows of numbers too long for a line."""

    def __init__(self, facts: Facts, edition: PrintForm, kept: tuple[int, ...] | None) -> None:
        """Begin with an empty table."""
        self.facts = facts
        self.edition = edition
        self.kept = kept
        self.table: list[TableRow] = []

    @property
    def voice(self) -> Voice:
        """Whom sentences are for."""
        voice = self.facts.voice(self.edition, self.kept)
        return replace(
            voice,
            print_list=lambda texts, label: self._row_text(
                "" if self._is_first else label, PrintedList(tuple(texts), "")
            ),
        )

    @property
    def _inches_first(self) -> bool:
        """Whether inches stand before centimetres where both are printed."""
        return self.edition.inches_first and not self._is_first

    @property
    def _places_of_edition(self) -> tuple[int, ...] | None:
        """The sizes of the whole edition; None where it has all."""
        only, sizes = self.edition.only, self.facts.pattern.sizes
        return None if only is None else tuple(sizes.index(size) for size in only)

    @property
    def _is_first(self) -> bool:
        """Whether the pattern is printed in the first wording."""
        return self.facts.pattern.wording == FIRST_WORDING

    def _begins_small(self, printed: Stretch, before: str) -> bool:
        """Whether a sentence that is filled in stands after a colon."""
        if printed.kind != "filled" or not before.endswith((":", ": ")):
            return False
        return self.facts.pattern.wording > WIDE_WORDING and _SENTENCE.match(printed.texts[0]) is not None

    def fill(self, pieces: Sequence[Written | Reference]) -> list[Stretch]:
        """Print words in the terms of the edition, and what each reference stands for."""
        marked = "".join(
            piece.text.replace(MARK, "") if isinstance(piece, Written) else MARK for piece in pieces
        )
        words = self.facts.typeset(self.facts.translate(marked, self.edition)).split(MARK)
        references = [piece for piece in pieces if isinstance(piece, Reference)]
        filled = [_written(words[0])]
        for place, reference in enumerate(references, 1):
            around = (MARK.join(words[:place]), MARK.join(words[place:]))
            printed, after = self._fill(reference, around), words[place]
            if self._begins_small(printed, words[place - 1]):
                text = printed.texts[0]
                printed = replace(printed, texts=(small(text),))
            if printed.texts == ("1",) and not self._is_first:
                after = _PLURAL_AFTER.sub(r"\1\2", after, count=1) if _PLURAL_AFTER.match(after) else after
            if printed.kind == "help":  # it stands beside the words, and leaves no gap in them
                filled[-1] = replace(filled[-1], texts=(filled[-1].texts[0].rstrip(" "),))
            filled += [printed, _written(after)]
        return [piece for piece in filled if piece.texts != ("",)]

    def _fill(self, piece: Reference, around: tuple[str, str]) -> Stretch:
        """Print what a reference stands for between the words of the author before it and after it."""
        if piece.form == "length":
            return _filled(print_written_length(piece, self.edition.units, inches_first=self._inches_first))
        if piece.form == "side":
            return _filled(OPPOSITE[piece.extra[0]] if self.voice.mirrored else piece.extra[0])
        if piece.form == "help":
            return self._help(piece.extra[0])
        if name_problem(piece, self.facts.kinds):
            return _filled(piece.source)
        if piece.form in ("start", "end", "ends", "reversed") and not self._is_shaping(piece):
            return self._curve(piece)
        if piece.form == "with":
            return self._merged(piece)
        if lines := self._lines_for(piece, around):
            return Stretch("lines", lines, piece.name)
        return _filled(self._words_for(piece, around), piece.name)

    def _is_shaping(self, piece: Reference) -> bool:
        """Whether a reference names a shaping, which may be reversed as a curve may."""
        return self.facts.kinds[piece.name] == "shaping"

    def _lines_for(self, piece: Reference, around: tuple[str, str]) -> tuple[str, ...]:
        """Print a shaping or spread in lines, where its sizes differ so much."""
        kind = self.facts.kinds[piece.name]
        if kind == "shaping" and not self._is_first:
            return shaping_lines(self._shaping(piece, around), self.voice)
        if piece.form == "words" and self.facts.pattern.wording > WIDE_WORDING:
            return pick_up_lines(*self.facts.pick_up(piece.name), self._voice_of_edge(piece.name))
        if kind == "spread" and self.facts.pattern.wording > WIDE_WORDING:
            plans, noun = self._spread(piece.name)
            return spread_lines(plans, self.voice, noun)
        return ()

    def _help(self, name: str) -> Stretch:
        """Print the mark of a help, where the edition has such marks."""
        number = self.facts.helps.get(name)
        return Stretch("help", (f"help {number}" if number and self.edition.helps else "",), name)

    def _curve(self, piece: Reference) -> Stretch:
        """Print a curve, one line per row."""
        plans, every = self.facts.curve(piece.name)
        lines = curve_lines(plans, every, self.voice, cast("At", piece.form))
        return Stretch("lines", tuple(lines), piece.name)

    def _merged(self, piece: Reference) -> Stretch:
        """Print two shapings that run at once."""
        names = (piece.name, *piece.extra)
        shapings = {name: self.facts.shaping(name, self.edition) for name in names}
        return Stretch("lines", tuple(merged_lines(shapings, self.voice)), piece.name)

    def _words_for(self, piece: Reference, around: tuple[str, str]) -> str:
        """Print what goes into a line of text."""
        kind = self.facts.kinds[piece.name]
        if kind == "shaping":
            return shaping_sentence(self._shaping(piece, around), self.voice)
        if kind == "spread":
            plans, noun = self._spread(piece.name)
            return spread_sentence(plans, self.voice, noun)
        if kind == "stripes":
            return self._stripes(piece.name, around)
        if kind == "stitch_pattern":
            return self._stitch_pattern(piece.name)
        if piece.form == "words":
            return pick_up_sentence(*self.facts.pick_up(piece.name), self._voice_of_edge(piece.name))
        if piece.form == "word":
            return self._word(piece)
        if piece.form == "sum":
            return self._sum(piece)
        return self._numbers(piece)

    def _voice_of_edge(self, name: str) -> Voice:
        """Speak of stitches that are worked, where an edge of Tunisian work is ordinary crochet."""
        pattern = self.facts.pattern
        fabric = next(one.fabric for one in pattern.pick_ups if one.name == name)
        label = next((one.label.casefold() for one in pattern.fabrics if one.name == fabric), "")
        is_plain = "crochet" in label and "tunisian" not in label and pattern.wording > WIDE_WORDING
        return replace(self.voice, craft="crochet") if is_plain else self.voice

    def _shaping(self, piece: Reference, around: tuple[str, str]) -> ShapingWords:
        """Return a shaping; without stitches to be told where these are not those of the whole row."""
        shaping = self.facts.shaping(piece.name, self.edition, mirrored=piece.form == "reversed")
        before, after = around
        is_closed = _COUNT_AFTER.search(after) is not None
        at_once = _AT_ONCE.search(before) is not None
        if at_once or (shaping.rounds and not is_closed):
            shaping = replace(shaping, starts=())
        return replace(shaping, is_closed=is_closed, at_once=at_once)

    def _spread(self, name: str) -> tuple[list[SpreadPlan], str]:
        """Return a spread, and what is counted in it."""
        plans, noun = self.facts.spread(name)
        return plans, self.facts.translate(noun, self.edition)

    def _stripes(self, name: str, around: tuple[str, str]) -> str:
        """Print a stripe sequence, in rounds where the words around it speak of these."""
        stripes = next(one for one in self.facts.pattern.stripes if one.name == name)
        sequence = StripeRepeat(stripes.sequence, stripes.change, stripes.forward_share)
        starts = [None if n is None else round(n) for n in self.facts.row(stripes.start)]
        told = more_of_rounds(around) if self.facts.pattern.wording > WIDE_WORDING else 0
        rounds = told > 0 if told else self.facts.in_rounds
        return stripe_words(sequence, self.voice, starts=starts, rounds=rounds)

    def _stitch_pattern(self, name: str) -> str:
        """Print what a stitch pattern is called, and where it stands."""
        label = next(one.label for one in self.facts.pattern.stitch_patterns if one.name == name)
        return f"{self.facts.plain(label, self.edition)} (see Stitch patterns)"

    def _lists(self, name: str, units: Units) -> list[PrintedList]:
        """Print the numbers behind a name in each system of units asked for."""
        row = [nan if number is None else number for number in self.facts.row(name)]
        kind, wording = self.facts.units_of[name], self.facts.pattern.wording
        return printed_lists(kind, row, units, wording)

    def _word(self, piece: Reference) -> str:
        """Print the first word when every number printed is 1, else the second."""
        texts = self._lists(piece.name, "cm")[0].texts
        shown = {texts[place] for place in self.voice.places} - {None}
        return self.facts.translate(piece.extra[0 if shown == {"1"} else 1], self.edition)

    def _sum(self, piece: Reference) -> str:
        """Print counts with something added, taken off, or halved; a half that is not whole shows it."""
        sign, operand = piece.extra
        row = self.facts.row(piece.name)
        if sign == "/":
            worked = [None if number is None else number / 2 for number in row]
        else:
            more = int(operand) if sign == "+" else -int(operand)
            worked = [None if number is None else number + more for number in row]
        texts = tuple(None if number is None else print_count(number) for number in worked)
        label = self.facts.labels.get(piece.name, piece.name.replace("_", " "))
        label = f"{self.facts.plain(label, self.edition)} {sign} {operand}"
        return self._row_text(label, PrintedList(texts, ""))

    def _numbers(self, piece: Reference) -> str:
        """Print numbers with their unit, or the key of a row of the table under the step."""
        units = "both" if piece.form == "both" else self.edition.units
        lists: Sequence[PrintedList] = self._lists(piece.name, units)
        lists = lists if self._is_first else self.edition.in_order(lists)
        label = self.facts.labels.get(piece.name, piece.name.replace("_", " "))
        label = self.facts.plain(label, self.edition)
        return " / ".join(f"{self._row_text(label, one)} {one.unit}".rstrip() for one in lists)

    def _row_text(self, label: str, one: PrintedList) -> str:
        """Print one row of numbers in brackets, or as the key of a row of the table.

        What is for some sizes only keeps the place of every size in its lists, for that is how makers
        find their own; one number that all of these sizes share stands alone.
        """
        texts, kept = one.texts, self.kept
        if kept is not None and not self._is_first and len({texts[place] for place in kept}) > 1:
            texts = tuple(text if place in kept else None for place, text in enumerate(texts))
            kept = self._places_of_edition
        return f"[{self._key_of(label, one)}]" if needs_table(texts, kept) else number_list(texts, kept)

    def _key_of(self, label: str, one: PrintedList) -> str:
        """Return the key of a row of the table, added when it is new; it has the sizes kept alone."""
        texts = one.texts if self.kept is None else tuple(one.texts[place] for place in self.kept)
        for place, row in enumerate(self.table):
            if (row.unit, row.texts) != (one.unit, texts) or label not in (row.label, _NAMED_BY_COUNT):
                if (row.label, row.unit, row.texts) != (_NAMED_BY_COUNT, one.unit, texts):
                    continue
                self.table[place] = replace(row, label=label)
            return row.key
        key = _letters(len(self.table))
        self.table.append(TableRow(key, label, one.unit, texts))
        return key


def _written(text: str) -> Stretch:
    """Return words of the author."""
    return Stretch("written", (text,))


def _filled(text: str, name: str = "") -> Stretch:
    """Return plain words that stand in a line, and the entry that they come from."""
    return Stretch("filled", (text,), name)


def _letters(index: int) -> str:
    """Return a, b … z, aa, ab … for 0, 1 and so on."""
    before, last = divmod(index, 26)
    return (_letters(before - 1) if before else "") + chr(ord("a") + last)


def print_written_length(reference: Reference, units: Units, *, inches_first: bool = False) -> str:
    """Print a length that was written out in the units of an edition.

    Args:
        reference: A reference of the form "length".
        units: Units of the edition.
        inches_first: Whether inches stand first where both are printed.

    Returns:
        As typed where the units are those of the edition, or where rounding would leave nothing.

    >>> from grading.core.instructions.references import parse_references
    >>> print_written_length(parse_references("{3 cm}").pieces[0], "both")
    '3 cm / 1¼ in'
    """
    number, unit = reference.extra
    typed = f"{number} {unit}"
    metric = inches = typed
    if unit not in METRIC_UNITS:
        metric = _unless_nothing(print_cm(reference.length_mm), "cm", typed)
    if unit in METRIC_UNITS or (unit == "in" and half_up(float(number), 0.25) == float(number)):
        inches = _unless_nothing(print_inches(reference.length_mm), "in", typed)
    both = [inches, metric] if inches_first else [metric, inches]
    printed = {"cm": [metric], "in": [inches], "both": both}[units]
    return " / ".join(dict.fromkeys(printed))


def _unless_nothing(digits: str, unit: str, typed: str) -> str:
    """Print a length, or as typed where rounding leaves nothing of it."""
    return typed if digits == "0" else f"{digits} {unit}"


def plain_text(pieces: Sequence[Stretch]) -> str:
    r"""Print pieces as plain text, lines on lines of their own.

    Args:
        pieces: The pieces of a step or of another text.

    Returns:
        The text.

    >>> plain_text([Stretch("written", ("Neck: ",)), Stretch("lines", ("Row 1.", "Row 2."))])
    'Neck:\nRow 1.\nRow 2.'
    """
    text = ""
    for index, piece in enumerate(pieces):
        if piece.kind != "lines":
            after = index > 0 and pieces[index - 1].kind == "lines"
            text += "".join(piece.texts).lstrip(" ") if after else "".join(piece.texts)
            continue
        text = text.rstrip(" ") + "\n" if text.strip() else ""
        text += "\n".join(piece.texts)
        if index + 1 < len(pieces):
            text += "\n"
    return text
