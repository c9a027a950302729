"""Numbers that a size lacks where it is printed stop a pattern; a dash that is meant does not."""

from grading.core.grade.grade import grade, regrade
from grading.core.pattern.file import read_pattern

HEAD = {
    "format": "evenrow-pattern",
    "format_version": 1,
    "title": "Vest",
    "craft": "knitting",
    "home_units": "cm",
    "home_terms": "US",
    "sizes": ["S", "M", "5X"],
    "fabrics": {"main": {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm"}},
}


def vest(steps, *, waist=(40, 41, None), ties=(2, 2, None), settled=(), shapings=()):
    """Body rows from the waist; ties as a list."""
    return {
        **HEAD,
        "body": {"waist": {"label": "Back waist", "unit": "cm", "values": list(waist)}},
        "values": [
            {"name": "side_rows", "label": "Side rows", "kind": "rows", "formula": "waist * main.rows"},
            {"name": "up_rows", "label": "Up", "kind": "rows", "formula": "side_rows + 2 rows"},
            {"name": "ties", "label": "Ties", "kind": "count", "list": list(ties)}
            | ({"settled": list(settled)} if settled else {}),
        ],
        "shapings": list(shapings),
        "sections": [{"title": "Back", "steps": list(steps)}],
    }


def stops(document):
    found = grade(read_pattern(document)).findings
    return [(one.where, one.size, one.says) for one in found if one.says.startswith("There is no number")]


def test_a_body_measurement_that_steps_need_is_named_with_its_size():
    assert stops(vest(["Work {up_rows} rows.", "Knit.", "Count {side_rows} rows."])) == [
        ("body.waist", "5X", "There is no number, and 2 steps (first Back, step 1) need it: enter it.")
    ]


def test_what_a_shaping_hangs_on_is_needed_as_well():
    shaping = {"name": "taper", "from": 60, "to": 50, "over": "side_rows", "each": 2}
    assert stops(vest(["{taper}"], shapings=[shaping]))[0][:2] == ("body.waist", "5X")


def test_a_list_may_have_no_number_where_somebody_says_why():
    says = "There is no number, and Back, step 1 needs it: enter it, or say why there is none."
    assert stops(vest(["Sew on {ties} ties."])) == [("values.ties", "5X", says)]
    why = {"what": "missing", "sizes": ["5X"], "why": "No ties in this size."}
    assert stops(vest(["Sew on {ties} ties."], settled=[why])) == []


def test_a_size_that_a_block_leaves_out_lacks_nothing():
    steps = ["::: only sizes=S..M\nWork {up_rows} rows. Sew on {ties} ties.\n:::"]
    assert stops(vest(steps)) == []
    assert stops(vest(["Knit all."])) == []


def test_an_edit_finds_what_grading_anew_finds():
    whole = grade(read_pattern(vest(["Work {up_rows} rows."], waist=(40, 41, 42))))
    gap = read_pattern(vest(["Work {up_rows} rows."]))
    assert regrade(whole, gap).findings == grade(gap).findings
    assert any(one.where == "body.waist" for one in grade(gap).findings)


def test_each_size_is_told_of_the_steps_that_are_its_own():
    steps = ["::: only sizes=S\nSew on {ties} ties.\n:::", "::: only sizes=5X\nSew on {ties} ties.\n:::"]
    why = "enter it, or say why there is none."
    assert stops(vest(steps, ties=(None, 2, None))) == [
        ("values.ties", "S", f"There is no number, and Back, step 1 needs it: {why}"),
        ("values.ties", "5X", f"There is no number, and Back, step 2 needs it: {why}"),
    ]
