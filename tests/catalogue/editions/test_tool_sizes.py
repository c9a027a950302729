"""Where steps ask for the smaller or the larger tool they name its size, once in each section."""

from dataclasses import replace

import pytest
from django.utils.safestring import SafeString

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import graded_as_frozen
from catalogue.editions.needs import aid_lines
from catalogue.editions.sources import source_of
from catalogue.editions.tool_sizes import asked_tools, with_tool_sizes
from catalogue.instructions.instructions import PrintedSection
from tests.catalogue.builders import make_pattern, make_record

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]
STEPS = ("With the smaller hook, then the smaller hook.", "Take the larger hook.")
ASKED = PrintedSection("Neck", "", tuple(map(SafeString, STEPS)), ("0.0", "0.1"))


@pytest.fixture
def record():
    return make_record(make_pattern("brackenmere_pullover"))


def source(record, tools=(5, 4.5), terms="US"):
    fabrics = zip(record["pattern"]["fabrics"].items(), tools, strict=True)
    typed = {**record["pattern"], "fabrics": {name: {**of, "tool_mm": mm} for (name, of), mm in fabrics}}
    record = {**record, "pattern": typed}
    return source_of(record, graded_as_frozen(record), {**home_choices(record), "terms": terms})


def named(source):
    return [str(step) for step in with_tool_sizes([ASKED], source)[0].steps]


def test_the_first_of_each_tool_in_a_section_has_its_size(record):
    assert named(source(record)) == [
        "With the smaller hook (4.5 mm, US 7), then the smaller hook.",
        "Take the larger hook (5 mm, US H-8).",
    ]
    assert named(source(record, terms="UK"))[1] == "Take the larger hook (5 mm)."


def test_one_tool_for_all_takes_the_next_smaller_on_sale_and_the_list_names_it(record):
    one = source(record, tools=(4, 4))
    assert named(one)[0].startswith("With the smaller hook (3.5 mm, US E-4)")
    assert "Smaller hook: 3.5 mm (US E-4)" in aid_lines(one)


def test_what_is_not_known_is_not_named_and_older_wordings_stay(record):
    assert named(source({**record, "wording": 2})) == list(STEPS)
    assert asked_tools(replace(source(record).facts.pattern, fabrics=())) == {}


def test_what_the_pattern_lists_itself_is_not_listed_again(record):
    steps = {"title": "Neck", "steps": ["Place a marker. Slip the sts onto waste yarn."]}
    typed = {**record["pattern"], "sections": [steps]}
    assert aid_lines(source({**record, "pattern": typed}))[-1].startswith("Stitch markers, waste yarn, tape")
    held = {**record["pattern"], "sections": [{"title": "Neck", "steps": ["Put 4 sts on hold."]}]}
    assert aid_lines(source({**record, "pattern": held}))[-1].startswith(
        "Waste yarn or a stitch holder, tape"
    )
    typed["notions"] = [{"label": "stitch markers", "count": 2}]
    assert aid_lines(source({**record, "pattern": typed}))[-1].startswith("Waste yarn, tape")


def test_tunisian_hooks_and_the_regular_one_have_their_sizes_where_first_asked_for():
    record = make_record(make_pattern("thistledrift_waistcoat"))
    chosen = {**home_choices(record), "terms": "US"}
    asked = SafeString("With the smaller Tunisian hook, the larger Tunisian hook and the regular hook.")
    of = source_of(record, graded_as_frozen(record), chosen)
    (told,) = with_tool_sizes([replace(ASKED, steps=(asked,))], of)[0].steps
    # Names of sizes as US shops have them: 5 mm is H-8, 5.5 mm I-9, 4.5 mm 7 (common practice).
    assert told == (
        "With the smaller Tunisian hook (5 mm, US H-8), the larger Tunisian hook (5.5 mm, US I-9)"
        " and the regular hook (4.5 mm, US 7)."
    )
