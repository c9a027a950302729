"""The guide: its examples are worked out, its links lead somewhere, each page has its part."""

import re

import pytest
from django.urls import reverse

from catalogue.site.guide.contents import COMMANDS, context_of
from catalogue.site.guide.examples import example_line, example_practice, printed_example
from catalogue.site.guide.parts import HELP_OF_ENTRY, HELP_OF_PAGE, PARTS
from catalogue.site.guide.search import search_guide, sections
from tests.builders import make_person
from tests.site.rights_table import SEEN, TABLE

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", PARTS)
def test_a_part_is_open_to_everybody(client, name):
    answer = client.get(reverse("guide_part", args=[name]))
    assert answer.status_code == 200
    assert PARTS[name].title in answer.content.decode()


def test_an_unknown_part_is_not_found(client):
    assert client.get("/guide/nothing/").status_code == 404


def test_every_page_has_its_part():
    pages = {name for name, row in TABLE.items() if row.is_seen and row.answers >= SEEN}
    assert pages - set(HELP_OF_PAGE) <= {"guide", "guide_part", "health"}  # the last is read by programs
    assert set(HELP_OF_PAGE) <= set(TABLE)


def test_what_helps_is_a_section_of_the_guide():
    there = set(PARTS) | {f"{one.part.name}#{one.name}" for one in sections()}
    assert {*HELP_OF_PAGE.values(), *HELP_OF_ENTRY.values()} <= there


def test_links_of_the_guide_lead_somewhere(client):
    for name in PARTS:
        text = (
            client.get(reverse("guide_part", args=[name]))
            .content.decode()
            .split("<main")[1]
            .split("</main")[0]
        )
        for address in re.findall(r'href="(/[^"#]*)', text):
            assert client.get(address).status_code in (200, 302), address


def test_the_lines_are_worked_out():
    # By hand: (86 + 10) / 2 cm at 20 stitches over 10 cm is 96; the nearest of 94, 98, 102 … is 98
    # (half up); 98 x 2 / 20 x 10 cm is 98 cm. 106, 116 and 126 / 2 x 2 are 106, 116 and 126.
    assert example_line("back_stitches").numbers == ("98", "106", "118", "126")
    assert example_line("chest").numbers == ("98 cm", "106 cm", "118 cm", "126 cm")


def test_the_steps_are_printed():
    assert (
        str(printed_example("Cast on {hem_stitches} sts.")).strip() == "<p>Cast on 92 (98, 110, 116) sts.</p>"
    )


def test_a_practice_piece_is_worked_out():
    piece = example_practice(("increases:sleeve_growth", "curve:front_neck"))
    # By hand: 2 plain rows; 2 stitches more in rows 2 and 4 and, after the longer gap, in row 8; then a curve
    # of 2 and 1 stitches and 2 plain steps, each of 2 rows: 2 + 8 + 8 rows, and 4 + 3 × 2 stitches.
    assert piece.sizes == ("Practice piece: 10 stitches, 18 rows.",)
    # Gaps of 8 and of 10 rows would need 18 rows for the increases alone.
    assert piece.lost[1] == (
        "sleeve growth (Cuff → Top of sleeve): shaping every 2nd row, not every 8th row; "
        "that would take too many rows for a small piece."
    )
    steps = [str(step) for step in piece.sections[0].steps]
    assert "Cast on 4 sts." in steps[0]
    assert "(10 sts)" in steps[2]
    with pytest.raises(ValueError, match="has no curve:gone"):
        example_practice(("curve:gone",))


def test_words_are_found_in_headings_first():
    assert search_guide("pick")[0].section.name == "pick-ups"
    found = search_guide("unsubscribe")
    assert [one.section.name for one in found] == ["holders", "version"]
    assert "unsubscribe" in found[0].excerpt
    assert "publish" in [one.section.name for one in search_guide("compare")]
    assert search_guide("compare the draft")[0].section.name == "publish"
    assert search_guide("zzz") == [] == search_guide("  ")


@pytest.mark.parametrize(
    ("wanted", "part", "title"),
    [
        ("discontinued yarn", "yarn", "A yarn that is no longer made"),
        ("option belt", "instructions", "For a choice only"),
        ("larger sizes only", "formulas", "Formulas"),
    ],
)
def test_other_words_for_a_thing_find_it_before_the_format_of_files(wanted, part, title):
    found = [(one.section.part.name, one.section.title) for one in search_guide(wanted)]
    assert found[0] == (part, title)
    is_file = [of == "file" for of, _ in found]
    assert is_file == sorted(is_file)


def test_what_is_looked_for_is_shown(client):
    page = client.get(reverse("guide"), {"q": "<swatch>"}).content.decode()
    assert "&lt;swatch&gt;" in page
    assert "Weigh a swatch" in page
    assert "No section has these words" in client.get(reverse("guide"), {"q": "zzz"}).content.decode()


def test_commands_say_what_they_do():
    for command in context_of(PARTS["commands"])["commands"]:
        assert command.says.endswith((".", "?")), command.name
        assert f"manage.py {command.name}" in command.usage
    assert len(COMMANDS) == 15


def test_the_page_leads_to_the_part_that_helps_there(client):
    page = client.get(reverse("how_assessed")).content.decode()
    assert f'href="{reverse("guide_part", args=["judging"])}#model"' in page


def test_every_field_of_a_pattern_file_is_explained():
    fields = context_of(PARTS["file"])["fields"]
    assert len(fields) > 150
    assert [field.path for field in fields if not field.meaning.endswith(".")] == []


def test_a_block_is_shown_as_typed_and_as_printed(client):
    page = client.get(reverse("guide_part", args=["instructions"])).content.decode()
    assert "::: only sizes=L..1X" in page
    assert '<p class="only-for">' in page
    assert "{%" not in page


def test_a_testers_guide_is_the_testers_own(client):
    person = make_person()
    client.force_login(person)
    page = client.get(reverse("my_making")).content.decode()
    address = reverse("guide_part", args=["measuring"])
    assert f'<a href="{address}#pages">Guide</a>' in page
    part = client.get(address).content.decode()
    assert '<section id="pages"' in part
    assert "Open a call" not in part.split("<main")[1].split("<nav")[0]


def test_the_first_steps_name_buttons_and_findings_as_the_pages_do(client):
    start = " ".join(client.get(reverse("guide_part", args=["start"])).content.decode().split())
    assert "<strong>Draft as a PDF</strong>, on the pattern’s page and on the sheet" in start
    assert "<strong>Look again</strong> means" in start
    assert "<strong>Warn" not in start


def test_what_is_read_on_is_for_the_same_readers(client):
    assert "guide-next" not in client.get(reverse("guide_part", args=["measuring"])).content.decode()
    assert "Next: " in client.get(reverse("guide_part", args=["start"])).content.decode()
    page = client.get(reverse("guide")).content.decode()
    places = [page.index(f"<h2>{words}</h2>") for words in ("For testers", "For makers", "For designers")]
    assert places == sorted(places)
