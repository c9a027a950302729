"""What can't be had back says what it does before it is done: the first tap opens it, the second does it."""

import re
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "templates"
# Acts that take something away for good, or that end somebody's place.
FOR_GOOD = (
    "holder_erase",
    "help_delete",
    "photo_delete",
    "swatch_delete",
    "question_erase",
    "question_delete",
    "selling_part_delete",
    "giver_erase",
    "yarn_support_delete",
    "size_table_delete",
    "special_stitch_delete",
    "yarn_delete",
    "letter_drop",
    "person_withdraw",
    "place_replace",
)
PAGES = [path.read_text("utf-8") for path in FOLDER.rglob("*.html")]


@pytest.mark.parametrize("act", FOR_GOOD)
def test_an_act_for_good_is_done_with_a_second_tap(act):
    places = [page for page in PAGES if f"'{act}'" in page]
    assert places
    for page in places:
        assert not re.search(rf"<form[^>]*'{act}'", page)
        assert re.search(
            rf"\{{% url '{act}' [^%]* as to %\}}(?:\s*\{{% with [^%]*%\}})*\s*\{{% with [^%]*says=", page
        )


def test_what_opens_says_what_it_does_and_holds_the_button():
    inner = (FOLDER / "_sure.html").read_text("utf-8")
    assert inner.index("<summary>") < inner.index("{{ says }}") < inner.index("<button")
