import csv
import io

from django.urls import reverse

from testing.results.results import finish_result
from tests.testing.builders import make_application, make_person, make_place


def export(client, call, form):
    return client.get(reverse("call_file", args=[call.pattern.slug, call.pk, form]))


def test_a_call_as_csv_holds_everybody(as_designer, call):
    place = make_place(call)
    finish_result(placement=place)
    make_application(call, name="Moss Reed", email="moss@larkmoss.example", body_mm={"bust": 901.5})
    answer = export(as_designer, call, "csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert "no-store" in answer["Cache-Control"]
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    assert [(row["Name"], row["State"], row["Place"], row["bust (cm)"]) for row in rows] == [
        ("Wren Alder", "finished", "M", "96"),
        ("Moss Reed", "applied", "", "90.15"),
    ]
    assert rows[0]["Why"] == "Given by hand."
    assert "answers sent" in rows[0]["Sent"]


def test_no_cell_is_a_formula(as_designer, call):
    for number, name in enumerate(("=1+1", "+cmd", "-2", "@sum", "＝1")):
        make_application(call, name=name, email=f"a{number}@larkmoss.example", yarn="=HYPERLINK(1)")
    rows = list(csv.reader(io.StringIO(export(as_designer, call, "csv").content.decode())))
    cells = [cell for row in rows for cell in row]
    assert len(rows) == 6
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "＝"))]
    assert "'=HYPERLINK(1)" in cells


def test_a_call_as_json(as_designer, call):
    make_place(call)
    data = export(as_designer, call, "json").json()
    assert data["places"][1] == {"size": "M", "at_least": 1, "at_most": 2}
    (person,) = data["applicants"]
    assert (person["size"], person["body_cm"], person["wishes"]) == ("M", {"bust": 96.0}, ["M", "L"])
    assert data["seed"] == call.seed


def test_it_is_for_the_studio_alone(client, call, editor):
    assert export(client, call, "csv").status_code == 302
    client.force_login(make_person("t@larkmoss.example"))
    assert export(client, call, "csv").status_code == 404
    client.force_login(editor)
    assert export(client, call, "csv").status_code == 200
    assert export(client, call, "xml").status_code == 404
