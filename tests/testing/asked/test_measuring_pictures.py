import pytest
from django.urls import reverse

from catalogue.drafts.patterns import load_pattern
from testing.asked.figures import pattern_figures
from tests.builders import sample
from tests.testing.builders import make_call, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def pullover(studio):
    return load_pattern(document=sample("brackenmere_pullover"), by=None)


def pictures_of(pattern, size="M"):
    figures = pattern_figures(pattern)
    return {value.name: figures.picture(value, size) for value in figures.measurements}


def test_every_measurement_that_a_piece_has_a_line_for_is_drawn(pullover):
    lined = {
        line["value"] for piece in sample("brackenmere_pullover")["pieces"] for line in piece["dimensions"]
    }
    drawn = {name for name, picture in pictures_of(pullover).items() if picture}
    assert drawn == lined & set(pictures_of(pullover))
    assert {"chest", "body_length", "sleeve_length"} <= drawn


def test_a_girth_goes_on_round_the_other_side_and_a_length_does_not(pullover):
    pictures = pictures_of(pullover)
    assert pictures["chest"].is_half
    assert "round the other side" in pictures["chest"].frame.title
    assert not pictures["body_length"].is_half


def test_the_line_is_as_long_as_what_it_stands_for(pullover):
    """The picture is to scale: chest line to length line as half the chest to the length (derived)."""
    figures = pattern_figures(pullover)
    pictures, at = pictures_of(pullover), figures.size_place("M")
    across = level(pictures["chest"].strokes)
    up = upright(pictures["body_length"].strokes)
    chest, length = (figures.graded.values[name].worked[at] for name in ("chest", "body_length"))
    assert across / up == pytest.approx(chest / 2 / length, rel=0.01)


def test_the_chest_is_drawn_where_its_words_say_below_the_armholes(pullover):
    """Words of the sample: 2 cm below the armholes; one scale for across and down (derived)."""
    figures = pattern_figures(pullover)
    strokes, at = pictures_of(pullover)["chest"].strokes, figures.size_place("M")
    chest, armhole = (figures.graded.values[name].worked[at] for name in ("chest", "armhole_depth"))
    down = float(strokes.removeprefix("M").split("H")[0].split()[1])
    assert down / level(strokes) == pytest.approx((armhole + 20) / (chest / 2), rel=0.01)


def test_the_wrist_is_drawn_where_its_words_say_above_the_rib(pullover):
    """One scale for across and down: it lies as far down as the sleeve goes without its rib (derived)."""
    figures = pattern_figures(pullover)
    strokes, at = pictures_of(pullover)["wrist"].strokes, figures.size_place("M")
    wrist, length, rib = (
        figures.graded.values[name].worked[at] for name in ("wrist", "sleeve_length", "rib_height")
    )
    down = float(strokes.removeprefix("M").split("H")[0].split()[1])
    assert down / level(strokes) == pytest.approx((length - rib) / wrist, rel=0.01)


def level(strokes):
    first, _, rest = strokes.removeprefix("M").partition("H")
    return float(rest.split("M")[0]) - float(first.split()[0])


def upright(strokes):
    first, _, rest = strokes.removeprefix("M").partition("V")
    return float(rest.split("M")[0]) - float(first.split()[1])


def test_the_picture_does_not_give_the_expected_figure_away(client, pullover):
    place = make_place(make_call(pattern=pullover))
    client.force_login(place.person)
    page = client.get(reverse("making_measured", args=[place.pk, "chest"])).content.decode()
    assert "Then it goes on round the other side." in page
    # 108 cm of chest in size M at the pattern's gauge, half of it 54 (derived)
    figures = pattern_figures(pullover)
    chest = figures.graded.values["chest"].worked[figures.size_place("M")] / 10
    shown = page[page.index("<main") :]
    for number in (chest, chest / 2):
        assert f"{number:.1f}" not in shown
        assert f">{number:.0f}" not in shown


def test_without_pieces_the_words_say_where(as_tester, place):
    page = as_tester.get(reverse("making_measured", args=[place.pk, "chest"])).content.decode()
    assert "Round the body below the armholes." in page
    assert "<figure" not in page
