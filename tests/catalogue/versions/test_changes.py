"""What changed between two records."""

import re

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from catalogue.versions.changes import Changes, EntryChange, NumberChange, diff_pieces, record_differences
from catalogue.versions.printed_changes import number_rows


def a_record(*, worked=(61, 67), words="Chain 61 (67).", kind="stitches", sizes=("S", "M"), **document):
    return {
        "results": {
            "sizes": list(sizes),
            "values": {"back": {"kind": kind, "worked": list(worked)}},
            "pick_ups": {},
            "yarn": [{"options": {}, "colours": {"A": {"weight": [100.0] * len(sizes)}}}],
        },
        "pattern": {"values": [{"name": "back", "label": "Back, stitches"}], **document},
        "words": [{"title": "Back", "steps": [words]}],
    }


def test_nothing_changed_is_empty():
    assert not record_differences(a_record(), a_record())


def test_numbers_are_told_by_value_and_size():
    changes = record_differences(a_record(), a_record(worked=(61, 68)))
    assert changes.numbers == [NumberChange("back", "Back, stitches", "stitches", "M", 67, 68)]


def test_a_size_that_came_or_went_has_no_number_on_the_other_side():
    changes = record_differences(a_record(), a_record(worked=(61, 67, 73), sizes=("S", "M", "L")))
    back = [change for change in changes.numbers if change.name == "back"]
    assert back == [NumberChange("back", "Back, stitches", "stitches", "L", None, 73)]


def yarn_record(*needs, **options):
    record = a_record(
        options=[
            {"name": name, "label": name.capitalize(), "choices": list(choices), "default": choices[0]}
            for name, choices in options.items()
        ]
    )
    record["results"]["yarn"] = [
        {"options": chosen, "colours": {"A": {"weight": list(weights)}}} for chosen, weights in needs
    ]
    return record


def test_a_new_option_is_compared_at_its_default_and_tells_what_it_takes_more():
    pockets = ("yes", "no")
    old = yarn_record(({"pockets": "yes"}, (466, 500)), ({"pockets": "no"}, (440, 470)), pockets=pockets)
    new = yarn_record(
        ({"pockets": "yes", "belt": "without"}, (466, 500)),
        ({"pockets": "yes", "belt": "with"}, (520, 560)),
        ({"pockets": "no", "belt": "without"}, (441, 470)),
        ({"pockets": "no", "belt": "with"}, (495, 530)),
        pockets=pockets,
        belt=("without", "with"),
    )
    changes = record_differences(old, new)
    assert [(row.label, row.cells) for row in number_rows(changes, "cm")] == [
        ("Yarn, colour A (belt without, pockets no)", (("S", "440 g", "445 g"),)),
        ("Yarn, colour A, new choice (Belt: with)", (("S", "", "+ 55 g"), ("M", "", "+ 60 g"))),
    ]
    told = number_rows(changes, "cm", balls=({"A": 44.0}, {"A": 44.0}))
    assert told[0].cells == (("S", "440 g (10 balls)", "445 g (11 balls)"),)  # 441 g are more than ten
    # Taken out again, what was the default is what all make; the option itself is told as gone.
    back = record_differences(new, old)
    assert [(one.size, one.old, one.new) for one in back.numbers] == [("S", 441, 440)]
    assert any(one.place.startswith("Options") for one in back.entries)


def test_a_choice_that_is_added_to_an_option_tells_what_it_takes_more():
    old = yarn_record(({"body": "short"}, (300, 320)), ({"body": "long"}, (380, 400)), body=("short", "long"))
    new = yarn_record(
        ({"body": "short"}, (300, 320)),
        ({"body": "long"}, (380, 400)),
        ({"body": "cropped"}, (250, 265)),
        body=("short", "long", "cropped"),
    )
    assert [row.cells for row in number_rows(record_differences(old, new), "cm")] == [
        (("S", "", "− 50 g"), ("M", "", "− 55 g"))
    ]


def test_words_are_told_as_a_diff():
    changes = record_differences(a_record(), a_record(words="Chain 61 (68)."))
    assert changes.words[0].pieces == (
        ("same", "Chain "),
        ("gone", "61 (67)"),  # a list over sizes stays whole: parts of two lists are never mixed
        ("new", "61 (68)"),
        ("same", "."),
    )
    assert (changes.words[0].section, changes.words[0].step) == ("Back", 1)


def test_a_section_with_another_title_or_for_other_choices_is_told():
    old, new = a_record(), a_record()
    new["words"] = [{"title": "Back", "when": "Sleeves: long", "steps": ["Chain 61 (67)."]}]
    changes = record_differences(old, new)
    assert changes.entries == [EntryChange("Section", "Back", "Back (Sleeves: long)")]
    new["words"] = [*old["words"], {"title": "Collar", "when": "", "steps": []}]
    assert record_differences(old, new).entries == [EntryChange("Section", "", "Collar")]
    assert not record_differences(old, a_record())


def test_other_entries_are_told_as_typed():
    old = a_record(
        fabrics={"main": {"label": "Plain", "stitches": 22}}, yarns=[{"colour": "A", "put_up": "50 g"}]
    )
    new = a_record(
        fabrics={"main": {"label": "Plain", "stitches": 23}}, yarns=[{"colour": "A", "put_up": "100 g"}]
    )
    found = [(one.place, one.old, one.new) for one in record_differences(old, new).entries]
    assert found == [
        ("Gauge and tools, main, stitches", "22", "23"),
        ("Yarn, A, one ball weighs", "50 g", "100 g"),
    ]


def test_a_weighed_swatch_that_differs_is_told_in_plain_words():
    old, new = (
        a_record(fabrics={"main": {"label": "Plain", "swatch": {"weight": "20 g", "computed": computed}}})
        for computed in (False, True)
    )
    found = [(one.place, one.old, one.new) for one in record_differences(old, new).entries]
    place = "Gauge and tools, main, weighed swatch, its weight is computed, not weighed"
    assert found == [(place, "no", "yes")]


def test_rights_use_and_the_practice_piece_are_told_where_a_record_has_them():
    practice = {
        "techniques": [{"kind": "foundation", "name": "", "label": "Foundation"}],
        "in_pdf": True,
        "sizes": [{"title": "Piece", "stitches": 12, "rows": 6, "unit": "rows"}],
    }
    old = a_record() | {"rights": {"notes": ["Larkmoss has rights."], "finished_use": "Sell nothing."}}
    new = a_record() | {"rights": {"finished_use": "Sell what you make."}, "practice": practice}
    found = [(one.place, one.old, one.new) for one in record_differences(old, new).entries]
    assert found == [
        ("Rights, 1", "Larkmoss has rights.", ""),
        ("Use of finished items", "Sell nothing.", "Sell what you make."),
        ("Practice piece, techniques", "", "Foundation"),
        ("Practice piece, in the PDF", "", "yes"),
        ("Practice piece, pieces", "", "Piece: 12 stitches, 6 rows"),
    ]


def test_lengths_that_would_print_alike_are_printed_more_exactly():
    change = NumberChange("chest", "Chest", "length", "M", 1001.0, 1002.0)
    row = number_rows(Changes(numbers=[change]), "cm")[0]
    assert row.cells == (("M", "100.10 cm", "100.20 cm"),)
    wide = NumberChange("chest", "Chest", "length", "M", 1000.0, 1050.0)
    assert number_rows(Changes(numbers=[wide]), "in")[0].cells == (("M", "39¼ in", "41¼ in"),)


@given(st.text("ab 1.", max_size=40), st.text("ab 1.", max_size=40))
def test_a_diff_gives_both_texts_back(old, new):
    pieces = list(diff_pieces(old, new))
    assert "".join(text for mark, text in pieces if mark != "new") == old
    assert "".join(text for mark, text in pieces if mark != "gone") == new


@pytest.mark.parametrize("text", ["x" * 20_000, "a b " * 5_000])
def test_long_words_are_compared_in_reasonable_time(text):
    assert list(diff_pieces(text, text)) == [("same", text)]


def test_a_changed_sentence_is_told_old_and_new_with_its_changed_words_marked():
    changes = record_differences(
        a_record(words="Turn. Chain 61 & work 2 rows."),
        a_record(words="Turn. Chain 61 & work 4 rows."),
    )
    page = render_to_string(
        "catalogue/versions/_changes.html", {"changes": changes, "number_rows": [], "steps_told": False}
    )
    shown = re.sub(r"(</?(?:del|ins))\s+>", r"\1>", page)
    old, new = re.findall(
        r"<dd>(.*?)</dd>", re.sub(r'<span class="visually-hidden">(.*?)</span>', r"\1", shown), re.DOTALL
    )
    assert old.strip() == "Chain 61 &amp; work <del>[gone: 2]</del> rows."
    assert new.strip() == "Chain 61 &amp; work <ins>[new: 4]</ins> rows."
    assert "Turn." not in page, "a sentence that stayed is left out"
