"""Bad input on the desk: one clear sentence, what was typed still there, nothing stored, no error page."""

import json
from pathlib import Path
from typing import Any, cast

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from grading.models import Finding
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load, typed, worked

pytestmark = pytest.mark.django_db
DATA = Path(__file__).parents[2] / "data"
FORMULAS = json.loads((DATA / "bad_formulas.json").read_text(encoding="utf-8"))
BAD = json.loads((DATA / "bad_sheet_inputs.json").read_text(encoding="utf-8"))


def written_out(case: dict[str, Any]) -> str:
    """The text of a case; long ones are given as parts and how often each stands."""
    if "text" in case:
        return cast("str", case["text"])
    if "repeat" in case:
        parts, text = case["repeat"], ""
        for place, part in enumerate(parts):
            if isinstance(part, str):
                times = (
                    parts[place + 1] if place + 1 < len(parts) and isinstance(parts[place + 1], int) else 1
                )
                text += part * times
        return text
    if "call" in case:
        name, count = case["call"]
        return f"{name}({','.join(['1'] * count)})"
    raise ValueError(case)


def labels_of(case: dict[str, Any]) -> str:
    """The labels of a case."""
    if "sizes" in case:
        return "\n".join(f"s{place}" for place in range(case["sizes"]))
    return cast("str", case["typed"] + case.get("then", "") * case.get("times", 0))


def ids(case: dict[str, Any]) -> str:
    return cast("str", case["case"])


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


# A line break is a space between two parts of a formula; a decimal comma is a point, never left out.
READABLE = {"newline", "decimal comma"}
REFUSED = [case for case in FORMULAS if case["case"] not in READABLE]


def test_the_bad_formulas_are_all_there():
    assert len(REFUSED) == len(FORMULAS) - len(READABLE) >= 37


@pytest.mark.parametrize("case", REFUSED, ids=ids)
def test_a_bad_formula_is_refused_at_its_field(client, designer, case):
    pattern = load()
    before = pattern_document(fresh(pattern))
    url = reverse("value", args=[pattern.slug, "chest"])
    text = written_out(case)
    answer = client.post(url, typed(client, url, kind="ratio", formula=text))
    assert answer.status_code == 200
    form = answer.context["form"]
    assert len(form.errors["formula"]) == 1, form.errors
    assert form["formula"].value() == text
    assert pattern_document(fresh(pattern)) == before
    assert worked(pattern, "chest") == [920.0, 1000.0, 1090.0]
    preview = client.post(
        reverse("value_preview", args=[pattern.slug, "chest"]), typed(client, url, formula=text)
    )
    assert preview.status_code == 200


def test_a_line_break_in_a_formula_is_a_space(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "chest"])
    assert client.post(url, typed(client, url, formula="bust\r\n+ ease")).status_code == 302
    assert pattern_document(fresh(pattern))["values"][1]["formula"] == "bust\n+ ease"


def test_division_by_zero_names_the_size(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    answer = client.post(url, typed(client, url, source="formula", formula="4 rows / (size_number - 2)"))
    assert "Size M: Divides by “size_number - 2”" in answer.context["form"].errors["formula"][0]


@pytest.mark.parametrize("case", BAD["counts"], ids=ids)
def test_a_bad_count_is_refused(client, designer, case):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    answer = client.post(url, typed(client, url, list__1=case["typed"]))
    errors = [says for sayings in answer.context["form"].errors.values() for says in sayings]
    assert answer.status_code == 200
    assert any(case["says"] in says for says in errors), errors
    assert answer.context["form"]["list__1"].value() == case["typed"]
    assert worked(pattern, "edge") == [4, 4, 6]


@pytest.mark.parametrize("case", BAD["gauges"], ids=ids)
def test_a_bad_gauge_is_refused_with_the_range(client, designer, case):
    pattern = load()
    url = reverse("entry", args=[pattern.slug, "fabrics", 0])
    answer = client.post(url, typed(client, url, stitches=case["typed"]))
    form = answer.context["form"]
    assert case["says"] in form.errors["stitches"][0]
    assert "From 0.1 to 1000" in form.fields["stitches"].help_text
    assert worked(pattern, "back") == [64, 70, 76]


@pytest.mark.parametrize("case", BAD["labels"], ids=ids)
def test_bad_size_labels_are_refused(client, designer, case):
    pattern = load()
    url = reverse("sizes", args=[pattern.slug])
    answer = client.post(url, {"revision": 1, "labels": labels_of(case)})
    assert answer.status_code == 200
    assert case["says"] in answer.context["form"].errors["labels"][0]
    assert pattern_document(fresh(pattern))["sizes"] == ["S", "M", "L"]


@pytest.mark.parametrize("case", BAD["kept_labels"], ids=ids)
def test_odd_size_labels_are_kept_and_shown_as_they_are(client, designer, case):
    pattern = load()
    client.post(reverse("sizes", args=[pattern.slug]), {"revision": 1, "labels": f"{case['typed']}\nM\nL"})
    assert pattern_document(fresh(pattern))["sizes"] == [case["typed"], "M", "L"]
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    shown = case["typed"].replace("<", "&lt;").replace(">", "&gt;")
    assert f"<bdi>{shown}</bdi>" in page
    assert "<b>S</b>" not in page


@pytest.mark.parametrize("case", BAD["rows"], ids=ids)
def test_a_bad_row_of_the_size_table_is_refused(client, designer, case):
    pattern = load()
    url = reverse("body_table", args=[pattern.slug])
    table = "\t".join(["Bust girth", *case["cells"]])
    answer = client.post(url, {"revision": 1, "unit": "cm", "table": table})
    assert answer.status_code == 200
    assert case["says"] in answer.context["form"].errors["table"][0]
    assert answer.context["form"]["table"].value() == table
    assert pattern_document(fresh(pattern))["body"]["bust"]["values"] == [84, 92, 100]


def test_an_empty_cell_becomes_nothing_once_that_is_confirmed(client, designer):
    pattern = load()
    data = {"revision": 1, "unit": "cm", "table": "Bust girth\t84\t\t100", "leave_empty": "on"}
    client.post(reverse("body_table", args=[pattern.slug]), data)
    assert pattern_document(fresh(pattern))["body"]["bust"]["values"] == [84, None, 100]
    assert worked(pattern, "chest") == [920.0, None, 1090.0]


def test_measurements_out_of_order_are_kept_with_a_warning(client, designer):
    pattern = load()
    data = {"revision": 1, "unit": "cm", "table": "Bust girth\t40\t36\t44"}
    answer = client.post(reverse("body_table", args=[pattern.slug]), data, follow=True)
    said = [str(message) for message in answer.context["messages"]]
    assert "Bust girth falls from 40 (size S) to 36 (size M)." in said
    assert pattern_document(fresh(pattern))["body"]["bust"]["values"] == [40, 36, 44]


def test_minus_nothing_is_nothing(client, designer):
    pattern = load()
    client.post(
        reverse("body_table", args=[pattern.slug]), {"revision": 1, "unit": "cm", "table": "Wrist\t-0\t1\t2"}
    )
    assert json.dumps(pattern_document(fresh(pattern))["body"]["wrist"]["values"]) == "[0, 1, 2]"


def test_seventeen_decimals_are_rounded_and_shown_back(client, designer):
    pattern = load()
    data = {"revision": 1, "unit": "cm", "table": "Wrist\t92.12345678901234567\t93\t94"}
    answer = client.post(reverse("body_table", args=[pattern.slug]), data, follow=True)
    assert pattern_document(fresh(pattern))["body"]["wrist"]["values"] == [92.123457, 93, 94]
    assert "“Wrist”, size S was rounded to 92.123457" in [
        str(message) for message in answer.context["messages"]
    ]


def test_decimals_of_a_length_are_rounded_and_shown_back(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "ease"])
    answer = client.post(url, typed(client, url, steps__base="8.12345678901 cm"), follow=True)
    assert pattern_document(fresh(pattern))["values"][0]["steps"]["base"] == "8.123457 cm"
    assert "8.12345678901 cm was rounded to 8.123457 cm" in [
        str(message) for message in answer.context["messages"]
    ]


@pytest.mark.parametrize("cell", ["92 in", "36 in"])
def test_another_unit_in_the_form_of_a_measurement_is_refused(client, designer, cell):
    pattern = load()
    url = reverse("entry", args=[pattern.slug, "body", 0])
    answer = client.post(url, typed(client, url, values__1=cell))
    assert "is not in cm" in answer.context["form"].errors["values__1"][0]
    client.post(url, typed(client, url, values__1="93 cm"))
    assert pattern_document(fresh(pattern))["body"]["bust"]["values"] == [84, 93, 100]


def test_an_empty_cell_of_a_list_is_named(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    data = typed(client, url, list__1="")
    answer = client.post(url, data)
    assert "Size M is empty" in answer.context["form"].errors["list__1"][0]
    refused = client.post(url, {**data, "leave_empty": "on"})
    assert "Size M: There is no number, and Back, step 2 needs it" in str(refused.context["form"].errors)
    client.post(url, {**data, "leave_empty": "on", "keep_anyway": "on"})
    assert worked(pattern, "edge") == [4, None, 6]
    stops = Finding.objects.filter(sheet=pattern.sheet, where="values.edge", weight="stop")
    assert [stop.size for stop in stops] == ["M"]


def test_markup_in_a_label_is_shown_as_it_is(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    client.post(url, typed(client, url, label="<script>alert(1)</script>"))
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


@pytest.mark.parametrize("revision", ["", "x", "-1", "99999999999999999999"])
def test_a_form_without_its_revision_is_no_error_page(client, designer, revision):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    assert client.post(url, typed(client, url, revision=revision)).status_code in {200, 409}
