"""References in steps are read with their place, and what can't be read is named."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.instructions.reference_checks import expands, name_problem, stands_alone
from grading.core.instructions.references import Reference, Written, line_and_column, parse_references

KINDS = {
    "back_stitches": "value",
    "chest": "value",
    "bust": "body",
    "hem": "pick_up",
    "taper": "shaping",
    "extra": "shaping",
    "even": "spread",
    "neck": "curve",
    "drift": "stripes",
    "main": "fabric",
}


def reference(source: str) -> Reference:
    """Return the one reference that a text consists of."""
    (piece,) = parse_references(source).pieces
    assert isinstance(piece, Reference)
    return piece


@pytest.mark.parametrize(
    ("source", "form", "name", "extra"),
    [
        ("{back_stitches}", "plain", "back_stitches", ()),
        ("{ chest  in both }", "both", "chest", ()),
        ("{repeats|repeat|repeats}", "word", "repeats", ("repeat", "repeats")),
        ("{n|1 more time|{}", None, "", ()),
        ("{hem in words}", "words", "hem", ()),
        ("{raglan with body_extra}", "with", "raglan", ("body_extra",)),
        ("{neck at start}", "start", "neck", ()),
        ("{neck at end}", "end", "neck", ()),
        ("{neck reversed}", "reversed", "neck", ()),
        ("{3 cm}", "length", "", ("3", "cm")),
        ("{0.5in}", "length", "", ("0.5", "in")),
        ("{side start}", "side", "", ("start",)),
    ],
)
def test_each_form_is_read(source: str, form: str | None, name: str, extra: tuple[str, ...]) -> None:
    if form is None:
        assert parse_references(source).problems
        return
    found = reference(source)
    assert (found.form, found.name, found.extra, found.source) == (form, name, extra, source)


def test_a_length_written_out_is_kept_in_millimetres() -> None:
    assert reference("{3 cm}").length_mm == 30
    assert reference("{4 in}").length_mm == pytest.approx(101.6)  # inch of 25.4 mm, agreement of 1959


def test_words_and_references_keep_their_places() -> None:
    pieces = parse_references("ch {back_stitches} + 1.").pieces
    assert [(type(piece), piece.offset) for piece in pieces] == [
        (Written, 0),
        (Reference, 3),
        (Written, 18),
    ]


def test_double_braces_print_braces() -> None:
    parsed = parse_references("{{ settings.SECRET_KEY }}{% load x %}")
    assert len(parsed.problems) == 1  # the single braces of the second half
    assert parse_references("{{{{a}}}}").pieces == (Written("{{a}}", 0),)


@pytest.mark.parametrize(
    ("text", "offset"),
    [("ch {back_stitches", 3), ("a } b", 2), ("{Back}", 0), ("{a b}", 0), ("{}", 0), ("{a\n}", 0)],
)
def test_what_cannot_be_read_is_named_with_its_place(text: str, offset: int) -> None:
    parsed = parse_references(text)
    assert parsed.problems[0].offset == offset
    assert "".join(piece.text for piece in parsed.pieces if isinstance(piece, Written)) == text


def test_a_length_in_a_sum_is_said_to_be_a_line_of_the_sheet() -> None:
    assert not parse_references("{rib_stitches + 1}").problems
    for text in ("{body_length + 5 cm in both}", "{5 cm + body_length}"):
        (problem,) = parse_references(text).problems
        assert problem.says == (
            f"{text} can't be read: a sum in braces is of names and whole numbers. Make it a line of the "
            "sheet, and write the name of that line here."
        )


@given(st.text(alphabet="ab{} \n|", max_size=60))
def test_no_character_is_ever_lost(text: str) -> None:
    parsed = parse_references(text)
    kept = "".join(piece.source if isinstance(piece, Reference) else piece.text for piece in parsed.pieces)
    assert kept == text or "{{" in text or "}}" in text


def test_an_unknown_name_is_named_with_its_nearest() -> None:
    says = name_problem(reference("{back_stiches}"), KINDS)
    assert says == "There is no back_stiches: did you mean back_stitches?"
    assert name_problem(reference("{taper with ekstra}"), KINDS) == (
        "There is no ekstra: did you mean extra?"
    )
    assert "check the name" in str(name_problem(reference("{zzz}"), KINDS))


@pytest.mark.parametrize(
    "source",
    [
        "{neck}",
        "{taper at end}",
        "{back_stitches with taper}",
        "{main}",
        "{chest in words}",
        "{even in both}",
    ],
)
def test_a_name_of_the_wrong_kind_is_refused(source: str) -> None:
    assert name_problem(reference(source), KINDS)


@pytest.mark.parametrize(
    "source",
    ["{chest}", "{bust in both}", "{hem}", "{taper}", "{even}", "{drift}", "{neck reversed}", "{3 cm}"],
)
def test_a_name_of_a_fitting_kind_is_taken(source: str) -> None:
    assert name_problem(reference(source), KINDS) is None


@pytest.mark.parametrize(
    ("text", "alone"),
    [
        ("{neck at end}", True),
        ("Neck: {neck at end} (12 sts)", True),
        ("{neck at end} ({back_stitches} sts) Work on.", True),
        ("Join the yarn. {neck at end} Work straight.", True),
        ("work together. {neck at end} Count from", True),
        ("First:\n{neck at end}\nthen go on", True),
        ("Work {neck at end} now", False),
        ("Neck: {neck at end} and go on", False),
        ("Neck: {neck at end}.", True),
    ],
)
def test_an_expanding_reference_stands_alone_in_its_sentence(text: str, alone: bool) -> None:
    found = next(
        piece
        for piece in parse_references(text).pieces
        if isinstance(piece, Reference) and expands(piece, KINDS)
    )
    assert stands_alone(text, found) is alone


def test_lines_and_columns_count_from_one() -> None:
    assert line_and_column("abc", 0) == (1, 1)
    assert line_and_column("a\nbc\n", 3) == (2, 2)
    assert line_and_column("a\n", 2) == (2, 1)
