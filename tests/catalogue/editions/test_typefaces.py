"""Typefaces: names in every script are printed as they are read, and nothing fails for want of a sign."""

import io
import logging
import re

import pypdf
import pytest
from fontTools.ttLib import TTFont

from catalogue.editions import pdf_writing
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.editions.ingredients import FONTS, font_path
from catalogue.editions.pdf_writing import PageSource, write_pdf
from catalogue.editions.rendering import make_test_copy
from catalogue.editions.typefaces import FOLDER, SCRIPTS, TextSetting, script_path, setting_of, stand_in
from catalogue.publishing.obstacles import in_the_way
from tests.catalogue.builders import make_pattern, make_record, make_version
from tests.catalogue.pdf_objects import looked_up
from tests.present import present

NAMES = (
    "Zoë 🧶",
    "陳小美",
    "さくら",
    "김민지",
    "नेहा",
    "রহিমা",
    "ਗੁਰਪ੍ਰੀਤ",
    "ગીતા",
    "ଗୀତା",
    "தமிழ்ச்செல்வி",
    "గీత",
    "ಗೀತಾ",
    "ഗീത",
    "ගීතා",
    "สมชาย",
    "ລາວ",
    "မြ",
    "សុខា",
    "שרה",
    "محمد",
    "Ωμέγα",
    "Ђорђе",
    "გიორგი",
    "Հայկ",
    "አበበ",
    "ދިވެހި",
)


def painted(body, **options):
    html = f"<html lang='en'><title>Names</title><body><h1>Names</h1>{body}</body></html>"
    return present(write_pdf(PageSource(html, {}, style="", identity="0" * 32), **options))


def fonts_of(content):
    for page in pypdf.PdfReader(io.BytesIO(content)).pages:
        yield from (font.get_object() for font in looked_up(page, "/Resources", "/Font").values())


def letters_of(content, family):
    """What the glyphs of a font stand for, by glyph, and the order in which the first page draws them."""
    (page,) = pypdf.PdfReader(io.BytesIO(content)).pages
    for name, one in looked_up(page, "/Resources", "/Font").items():
        font = one.get_object()
        if family in font["/BaseFont"]:
            told = font["/ToUnicode"].get_object().get_data().decode()
            meant = {
                glyph: bytes.fromhex(text).decode("utf-16-be")
                for glyph, text in re.findall(r"<([0-9a-f]{4})> <([0-9a-f]+)>", told)
            }
            drawn = (
                present(page.get_contents()).get_data().decode("latin-1").split(f"{name} ")[1].split(" Tf")[1]
            )
            glyphs = "".join(re.findall(r"<([0-9a-f]+)>", drawn))
            order = [glyphs[place : place + 4] for place in range(0, len(glyphs), 4)]
            return meant, [meant.get(glyph, "") for glyph in order]
    raise AssertionError(f"{family} is not in the file")


@pytest.mark.parametrize("name", NAMES)
def test_names_of_every_script_have_a_font(name):
    assert not setting_of(name).stand_ins


def test_names_of_all_scripts_are_set_in_our_own_fonts():
    found = painted("".join(f"<p>{name}, <b>{name}</b></p>" for name in NAMES))
    assert all(name in found.words for name in NAMES)
    fonts = [font["/BaseFont"] for font in fonts_of(found.content)]
    assert all(re.search("Literata|Source-?Sans|Evenrow", name) for name in fonts), fonts


def test_right_to_left_is_drawn_from_the_right():
    _, drawn = letters_of(painted("<p>שרה</p>").content, "SansHebrew")
    assert "".join(drawn[:3]) == "הרש"  # the last letter stands leftmost, and is drawn first


def test_letters_that_join_are_joined():
    meant, _ = letters_of(painted("<p>क्षमा</p>").content, "Evenrow-Sans")
    assert "क्ष" in meant.values()  # three signs, one letter


def test_a_sign_of_no_font_is_told_in_words_and_fails_nothing():
    found = painted("<p>Yarn 𒀀 and \U0001fc00, 🧶\u00a0cm, \ue000 and a joiner\u200d.</p>")
    assert "Yarn □(U+12000) and □(U+1FC00)" in found.words
    assert "□(U+E000)" in found.words


def test_a_picture_of_no_font_is_told_by_its_name():
    assert stand_in("\U0001d300") == "□(monogram for earth)"
    assert not setting_of("□").stand_ins
    assert not setting_of("□").scripts


def test_a_sign_that_a_font_has_and_does_not_draw_is_told_in_words():
    setting = setting_of("🧶陳", frozenset("🧶"))
    assert setting == TextSetting(("SansHan",), frozenset("🧶"))
    assert setting.typed("🧶陳") == "□(ball of yarn)陳"


def test_letters_written_in_parts_are_put_together():
    assert setting_of("\u1112\u1161\u11ab").typed("\u1112\u1161\u11ab") == "한"


def test_more_fonts_leave_the_bytes_of_what_needs_none():
    plain = "<p>a <em>b</em> <b>½</b> Ωμέγα</p>"
    before = painted(plain).content
    painted("<p>陳 🧶</p>")
    assert painted(plain).content == before
    assert painted(plain, is_frozen=True).content == before


def test_what_is_frozen_is_first_set_as_it_always_was(monkeypatch):
    tried = []
    real = pdf_writing._set_and_paint

    def note(*given):
        tried.append(given[-1])
        return real(*given)

    monkeypatch.setattr(pdf_writing, "_set_and_paint", note)
    painted("<p>陳</p>", is_frozen=True)
    assert tried == [TextSetting(), TextSetting(("SansHan",))]


@pytest.mark.parametrize("script", SCRIPTS)
def test_the_font_of_every_script_is_there_and_holds_a_space(script):
    # A space between two pictures is drawn from their font.
    with TTFont(script_path(script), lazy=True) as font:
        assert ord(" ") in font.getBestCmap()


def test_the_fonts_of_scripts_come_with_their_licence():
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FOLDER / "OFL-Noto.txt").read_text("utf-8")
    assert {path.name for path in FOLDER.glob("*.ttf")} == {script_path(one).name for one in SCRIPTS}
    assert all(font_path(name).exists() for name in FONTS)


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.django_db
@pytest.mark.usefixtures("quick_pdf")
def test_testers_of_any_name_get_their_copy():
    version = make_version(kind="test", number="0.1")
    name = "Zoë 🧶 陳小美 नेहा 김민지 𒀀"
    content = make_test_copy(version=version, size="M", name=name)
    for page in pypdf.PdfReader(io.BytesIO(content)).pages:
        text = page.extract_text()
        assert all(part in text for part in ("Zoë", "🧶", "陳小美", "김민지", "□(U+12000)"))


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.django_db
def test_an_edition_of_any_words_is_made_and_passes_its_gate():
    record = make_record(make_pattern(title="陳 𒀀 Pullover"))
    content = render_pdf(record=record, choices=home_choices(record)).content
    assert "陳 □(U+12000) Pullover" in "".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages
    )


@pytest.mark.django_db
def test_the_author_is_told_of_signs_that_no_font_has():
    said = {one.says: one.weight for one in in_the_way(make_pattern(title="陳 𒀀 Pullover"), "test")}
    (says,) = [one for one in said if "fonts" in one]
    assert "“𒀀” as □(U+12000)" in says
    assert "陳" not in says
    assert said[says] == "warn"
    assert not [one for one in in_the_way(make_pattern(), "test") if "fonts" in one.says]


def test_the_engine_writes_no_names_in_the_log():
    written = io.StringIO()
    log = logging.StreamHandler(written)
    logging.getLogger().addHandler(log)
    try:
        logging.getLogger("elsewhere").warning("Anything")
        logging.getLogger("weasyprint").warning("Wren Alder")
    finally:
        logging.getLogger().removeHandler(log)
    assert written.getvalue() == "Anything\n"
