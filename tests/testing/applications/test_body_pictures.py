import re

from grading.core.pattern.pattern import BodyEntry
from testing.applications.body_pictures import WAYS, body_picture, way_in_words


def asked(*names):
    return [BodyEntry(name=name, label=name.title(), unit="cm", entries=()) for name in names]


def test_lines_are_numbered_in_the_order_asked_and_unknown_names_have_none():
    picture = body_picture(asked("wrist", "ear_to_ear", "bust"))
    assert [(line.number, line.name) for line in picture.lines] == [(1, "wrist"), (2, "bust")]
    assert way_in_words(picture, "bust").startswith("Line 2 in the picture.")
    assert way_in_words(picture, "ear_to_ear") == ""
    assert not picture.has_back


def test_a_line_of_the_back_is_told():
    assert body_picture(asked("cross_back")).has_back


def test_every_line_lies_on_the_figure():
    """The figure of the template reaches from 10 to 110 and from 0 to 172."""
    for way in WAYS.values():
        numbers = [float(number) for number in re.findall(r"[\d.]+", way.path)]
        assert all(20 <= x <= 100 for x in numbers[::2])
        assert all(5 <= y <= 120 for y in numbers[1::2])
