import json
from typing import Any

import pytest
from django.core.management import call_command

CALL = {
    "sizes": ["S", "M"],
    "body": {"bust": [86, 96.5]},
    "places": [{"size": "S", "at_least": 1, "at_most": 1}, {"size": "M", "at_least": 0, "at_most": 2}],
    "applicants": [
        {"name": "Wren", "body": {"bust": 88}, "sizes": ["S", "M"], "experience": 3},
        {"name": "Moss", "body": {"bust": 87}, "sizes": ["S"], "experience": 0},
        {"name": "Ada", "body": {"bust": 110}, "sizes": ["M"], "experience": 1},
        {"name": "Juno", "body": {"bust": 97}, "sizes": ["M"], "experience": 1, "pinned": "M"},
    ],
    "seed": 12,
}


@pytest.fixture
def place(tmp_path, capsys):
    """The exit code, what was printed and what was complained about, for a file with some text."""

    def run(text, *options):
        path = tmp_path / "call.json"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        code: str | int | None = 0
        try:
            call_command("place", str(path), *options)
        except SystemExit as stop:
            code = stop.code
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_a_call_is_placed_as_json(place):
    code, out, err = place(json.dumps(CALL), "--json")
    assert (code, err) == (0, "")
    answer = json.loads(out)
    # derived: Wren 8.5 + 2 - 3 = 7.5 in M, Moss 1 in S, Juno 0.5 - 1 = -0.5 in M
    assert answer == {
        "placed": {"Wren": "M", "Moss": "S", "Juno": "M"},
        "waiting": ["Ada"],
        "filled_at_least": 1,
        "filled": 3,
        "cost": 8.0,
        "reasons": answer["reasons"],
        "seed": 12,
    }
    assert set(answer["reasons"]) == {"Wren", "Moss", "Ada", "Juno"}


def test_a_call_is_placed_in_lines(place):
    code, out, _ = place(json.dumps(CALL))
    assert code == 0
    assert "Ada: waiting. No place: M (13.5 cm away, more than 10)." in out
    assert out.splitlines()[-1] == "3 places filled, 1 of them needed; total cost 8.00; seed 12."


def changed(path, value):
    call = json.loads(json.dumps(CALL))
    part = call
    *way, last = path
    for step in way:
        part = part[step]
    if value is None:
        del part[last]
    else:
        part[last] = value
    return json.dumps(call)


BAD: list[tuple[list[str | int], Any, str, str]] = [
    (["sizes"], None, "$", "“sizes” is missing"),
    (["sizes"], [], "$.sizes", "at least one size"),
    (["sizes", 1], "S", "$.sizes[1]", "“S” is here and at $.sizes[0]"),
    (["sizes", 1], 4, "$.sizes[1]", "a text"),
    (["body"], [], "$.body", "by name"),
    (["body", "bust"], [86], "$.body.bust", "one number for each of the 2 sizes; here are 1"),
    (["body", "bust", 1], "96", "$.body.bust[1]", 'a length in cm above 0 and below 1,000, not "96".'),
    (["body", "bust", 1], -4, "$.body.bust[1]", "a length in cm"),
    (["body", "bust", 1], True, "$.body.bust[1]", "a length in cm"),
    (["places"], {}, "$.places", "a list"),
    (["places", 0, "size"], "XL", "$.places[0].size", '"XL" is not one of the call\'s sizes'),
    (["places", 1, "size"], "S", "$.places[1].size", "“S” is here and at $.places[0].size"),
    (["places", 0, "at_most"], 0, "$.places[0].at_most", "fewer than at least 1"),
    (["places", 0, "at_least"], 1.5, "$.places[0].at_least", "whole number"),
    (["places", 0, "at_least"], -1, "$.places[0].at_least", "whole number"),
    (
        ["applicants", 2, "name"],
        "Wren",
        "$.applicants[2].name",
        "“Wren” is here and at $.applicants[0].name",
    ),
    (["applicants", 2, "name"], " ", "$.applicants[2].name", "a text"),
    (["applicants", 2, "body"], {}, "$.applicants[2].body", "“bust” is missing"),
    (["applicants", 2, "body", "bust"], "wide", "$.applicants[2].body.bust", "a length in cm"),
    (["applicants", 2, "sizes", 0], "5X", "$.applicants[2].sizes[0]", "is not one of"),
    (["applicants", 2, "sizes", 0], ["M"], "$.applicants[2].sizes[0]", '["M"] is not one of'),
    (
        ["applicants", 0, "sizes"],
        ["S", "S"],
        "$.applicants[0].sizes[1]",
        "“S” is here and at $.applicants[0].sizes[0]",
    ),
    (["applicants", 2, "experience"], 4, "$.applicants[2].experience", "from 0 to 3"),
    (["applicants", 2, "sizes"], "M", "$.applicants[2].sizes", "a list of at most 40 sizes"),
    (["applicants", 2, "pinned"], "5X", "$.applicants[2].pinned", "is not one of"),
    (["applicants", 2, "pinned"], ["M"], "$.applicants[2].pinned", "is not one of"),
    (
        ["applicants", 2, "colour"],
        "red",
        "$.applicants[2]",
        "“colour” is not a known key; the keys are name, body",
    ),
    (
        ["applicants", 2],
        7,
        "$.applicants[2]",
        "must be an object with name, body, sizes and experience, not 7",
    ),
    (["seed"], "x", "$.seed", "whole number"),
]


@pytest.mark.parametrize(("where", "value", "path", "says"), BAD)
def test_what_does_not_fit_is_named_by_its_path(place, where, value, path, says):
    code, out, err = place(changed(where, value), "--json")
    assert (code, out) == (2, "")
    assert f" {path}: " in err
    assert says in err
    assert len(err.splitlines()) == 1


def test_more_pins_than_places_are_refused(place):
    call = json.loads(json.dumps(CALL))
    for one in call["applicants"][:2]:
        one["pinned"] = "S"
    code, _, err = place(json.dumps(call))
    assert code == 2
    assert "$.applicants[1].pinned: Size S has no place left for this pin." in err


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"sizes": NaN}',
        "[" * 100_000,
        '{"sizes": ["S"], "sizes": ["M"]}',
        '{"sizes": [' + "9" * 6000 + "]}",
        b"\xff\xfe\x00",
        json.dumps(CALL).replace('"Ada"', r'"\ud800"'),
    ],
)
def test_what_is_no_call_is_refused_in_one_line(place, text):
    code, out, err = place(text)
    assert (code, out) == (2, "")
    assert "$" in err
    assert len(err.splitlines()) == 1


def test_a_file_that_is_not_there_is_refused(capsys):
    with pytest.raises(SystemExit) as stop:
        call_command("place", "no-such-call.json")
    assert stop.value.code == 2
    assert "cannot be read: No such file" in capsys.readouterr().err
