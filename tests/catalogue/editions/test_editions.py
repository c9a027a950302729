"""Editions: what the PDF says, how it is tagged, and that it is made from the version's own files alone."""

import functools
import io
import itertools
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from catalogue.editions import fitting
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.pdf_writing import OwnFiles
from catalogue.editions.rendering import make_test_copy
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import canonical, read_record
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import printed_lists
from grading.core.printing.numbers import number_list
from tests.builders import DATA, sample
from tests.catalogue.builders import SAMPLES, make_pattern, make_photo, make_record, make_version
from tests.catalogue.pdf_objects import looked_up
from tests.present import present

pytestmark = pytest.mark.django_db

BAD_MARKDOWN = json.loads((DATA / "bad_markdown.json").read_text())
SPACE = re.compile(r"\s+")
REFERENCE = re.compile(r"\{([a-z][a-z0-9_]*)(?: in both)?\}")


MARKER = re.compile(r"(?:\d+\.|•|[←→] \d+)\s*")  # of a list, or of a row of a chart


@functools.cache
def page_texts(content):
    """The words of each page of a PDF: to read them takes longer than most that is asked of them."""
    return tuple(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)


@functools.cache
def text_of(content):
    """All words of a PDF but running lines and list numbers, without spaces, which may stand anywhere."""
    return "".join(squeezed("".join(_lines(text))) for text in page_texts(content))


def _lines(text):
    for line in text.splitlines():
        if re.search(r" · (test )?version \d|^Sizes: ", line):
            return
        if not MARKER.fullmatch(line):
            yield line


def squeezed(text):
    return SPACE.sub("", text)


@pytest.fixture(scope="module")
def rendered():
    """Each sample's home edition, made once for the module: name → (record, graded, bytes)."""
    return {}


def edition_of(rendered, name):
    if name not in rendered:
        record = make_record(make_pattern(name))
        content = render_pdf(record=record, choices=home_choices(record)).content
        rendered[name] = (record, grade(record_pattern(record)), content)
    return rendered[name]


@pytest.mark.parametrize("name", SAMPLES)
def test_every_number_of_every_size_stands_in_the_pdf(rendered, name):
    _, graded, content = edition_of(rendered, name)
    text = text_of(content)
    steps = "\n".join(step for section in sample(name)["sections"] for step in section["steps"])
    asked = {one for one in REFERENCE.findall(steps) if one in graded.values}
    assert len(asked) >= 5
    for value in asked:
        numbers = graded.values[value]
        texts = printed_lists(numbers.kind, list(numbers.worked), "cm")[0].texts
        shared = {one for one in texts if one}  # the sizes that have a number may share it
        assert squeezed(shared.pop() if len(shared) == 1 else number_list(texts)) in text, value


@pytest.mark.parametrize("name", SAMPLES)
def test_all_finished_measurements_and_yarn_stand_in_the_pdf(rendered, name):
    record, graded, content = edition_of(rendered, name)
    text = text_of(content)
    units = record["pattern"]["home_units"]
    for value in record["pattern"]["values"]:
        if "measured" in value:
            numbers = graded.values[value["name"]]
            texts = printed_lists("length", list(numbers.worked), units)[0].texts
            row = f"{value['label']}, {units}" + "".join(one or "–" for one in texts)
            assert squeezed(row) in text, value["name"]
    told = [
        [f"{size}{count} balls ·" for size, count in zip(record["results"]["sizes"], need, strict=True)]
        for need in (one["colours"]["A"]["balls"] for one in record["results"]["yarn"])
    ]
    assert any(all(squeezed(one) in text for one in rows) for rows in told)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_instructions_in_the_pdf_are_those_of_the_record(rendered, name):
    record, _, content = edition_of(rendered, name)
    # The size of a tool is added where a section names it first.
    tool = r"((?:larger|smaller|regular)(?:Tunisian)?(?:hook|needles?))\([^()]*mm[^()]*\)"
    text = re.sub(tool, r"\1", text_of(content))
    for section in record["words"]:
        assert squeezed(section["title"]) in text
        for step in section["steps"]:
            for line in step.splitlines():
                plain = squeezed(line.replace("`", ""))
                assert plain in text or all(part in text for part in plain.split(":")), line


@pytest.mark.parametrize("name", SAMPLES)
def test_the_pdf_is_tagged_with_language_title_headings_and_table_heads(rendered, name):
    record, _, content = edition_of(rendered, name)
    reader = pypdf.PdfReader(io.BytesIO(content))
    root = reader.trailer["/Root"]
    assert looked_up(root, "/MarkInfo", "/Marked") == True  # noqa: E712 a PDF object, not a bool
    assert looked_up(root, "/Lang") == {"US": "en-US", "UK": "en-GB"}[record["pattern"]["home_terms"]]
    assert looked_up(root, "/ViewerPreferences", "/DisplayDocTitle") == True  # noqa: E712
    printed_title = record["title"].replace("'", "’")
    assert present(reader.metadata).title == f"{printed_title}, version 0.1"
    assert re.search(r"pdfuaid:part[>=\"]+1", looked_up(root, "/Metadata").get_data().decode())
    tree = looked_up(root, "/StructTreeRoot")
    kinds = [one["/S"] for one in elements(tree)]
    heads = [int(kind[2]) for kind in kinds if re.fullmatch("/H[1-6]", kind)]
    assert heads[0] == 1
    assert heads.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in itertools.pairwise(heads))
    assert {"/Table", "/TH", "/L", "/LI"} <= set(kinds)
    for head in (one for one in elements(tree) if one["/S"] == "/TH"):
        assert head["/A"]["/Scope"] in ("/Column", "/Row")


def elements(node):
    """Every element of a structure tree, in reading order."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        found = kid.get_object() if hasattr(kid, "get_object") else kid
        if isinstance(found, dict) and "/S" in found:
            yield found
            yield from elements(found)


@pytest.mark.parametrize("name", SAMPLES)
def test_only_our_own_fonts_are_embedded(rendered, name):
    _, _, content = edition_of(rendered, name)
    fonts = set()
    for page in pypdf.PdfReader(io.BytesIO(content)).pages:
        for font in looked_up(page, "/Resources", "/Font").values():
            fonts.add(font.get_object()["/BaseFont"])
    assert fonts
    assert all(re.search("Literata|Source-?Sans", name) for name in fonts), fonts


def test_every_page_says_which_it_is_and_what_version(rendered):
    _, _, content = edition_of(rendered, "cinderfell_raglan")
    pages = page_texts(content)
    for number, page in enumerate(pages, 1):
        text = squeezed(page)
        assert f"page{number}of{len(pages)}" in text
        assert "CinderfellRaglan·testversion0.1" in text


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_a_release_prints_the_address_of_its_corrections_on_every_page():
    record = make_record(kind="release", number="1.0")
    content = render_pdf(record=record, choices=home_choices(record)).content
    pages = [squeezed(page) for page in page_texts(content)]
    for page in pages:
        assert "larkmoss.example/patterns/brackenmere-pullover/1.0/corrections/" in page
    # The list of sizes heads every page that has lists of them, from the first behind the cover on.
    assert "Sizes:XS(S,M," not in pages[0]
    assert all("Sizes:XS(S,M," in page for page in pages[1:-1])


def test_a_test_copy_carries_its_testers_name_on_every_page():
    version = make_version(kind="test", number="0.1")
    name = 'Ada "Quick" <b>Heron</b>'
    content = make_test_copy(version=version, size="M", name=name)
    assert all(squeezed(f"copy for {name}") in squeezed(page) for page in page_texts(content))
    assert "Thiseditionisforsize" in text_of(content)


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_a_title_with_quotes_and_brackets_stays_a_title():
    title = '"><script>1</script>'
    record = make_record(make_pattern(title=title))
    content = render_pdf(record=record, choices=home_choices(record)).content
    reader = pypdf.PdfReader(io.BytesIO(content))
    assert present(reader.metadata).title == f"{title}, version 0.1"
    assert squeezed(title) in text_of(content)
    assert "/JavaScript" not in str(reader.trailer["/Root"])


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_words_that_try_to_fetch_print_as_words_and_fetch_nothing(monkeypatch):
    served = []
    real = OwnFiles.fetch

    def fetch(self, url, headers=None):
        served.append(url)
        return real(self, url, headers)

    monkeypatch.setattr(OwnFiles, "fetch", fetch)
    steps = [
        text.replace("{", "{{").replace("}", "}}")
        for text in (case.get("text", "") for case in BAD_MARKDOWN)
        if text and len(text) <= 20_000
    ]
    assert len(steps) >= 20
    steps.append("The rest of the page is whole.")
    record = make_record(make_pattern(sections=[{"title": "Traps", "steps": steps}]))
    content = render_pdf(record=record, choices=home_choices(record)).content
    assert served
    assert all(url.startswith("edition:") for url in served), served
    assert "Therestofthepageiswhole." in text_of(content)
    assert not pypdf.PdfReader(io.BytesIO(content)).attachments


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1:8931/x",
        "file:///etc/passwd",
        "data:text/html,x",
        "edition:../../secret",
        "ftp://x.example/",
    ],
)
def test_the_fetcher_serves_named_files_and_remembers_what_it_refused(url):
    fetcher = OwnFiles({"edition:photo/a": lambda: b"picture"})
    with pytest.raises(ValueError, match="does not belong"):
        fetcher.fetch(url)
    assert fetcher.refused == [url]
    assert fetcher.fetch("edition:photo/a").read() == b"picture"


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_a_refused_address_fails_the_edition(monkeypatch):
    record = make_record()
    real = vars(fitting)["render_to_string"]
    trap = '<img src="http://127.0.0.1:8931/x" alt="x"></body>'
    monkeypatch.setattr(fitting, "render_to_string", lambda *args: real(*args).replace("</body>", trap))
    with pytest.raises(EditionFailed, match="The PDF could not be made"):
        render_pdf(record=record, choices=home_choices(record))


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_photos_are_printed_with_their_words_and_left_out_to_save_ink():
    pattern = make_pattern()
    make_photo(pattern, alt="A jumper on a line", caption="Size M")
    record = make_record(pattern)
    content = render_pdf(record=record, choices=home_choices(record)).content
    tree = looked_up(pypdf.PdfReader(io.BytesIO(content)).trailer, "/Root", "/StructTreeRoot")
    figures = [one for one in elements(tree) if one["/S"] == "/Figure"]
    words = [one["/Alt"] for one in figures]
    drawn = ("drawn to scale", "What is made now", "laid flat", "with a letter at each edge")
    others = [one for one in words if not any(part in one for part in drawn)]
    assert sorted(others) == ["A jumper on a line", "Skein with the number 3", "Step 2 of 4"]
    assert all(any(part in one for one in words) for part in drawn)
    saving = render_pdf(record=record, choices={**home_choices(record), "print": "saving"})
    assert not any(page.images for page in pypdf.PdfReader(io.BytesIO(saving.content)).pages)


def test_a_photo_that_is_not_the_frozen_one_fails_the_edition():
    pattern = make_pattern()
    make_photo(pattern)
    record = make_record(pattern)
    record["photos"][0]["digest"] = "0" * 64
    with pytest.raises(EditionFailed):
        render_pdf(record=record, choices=home_choices(record))


@pytest.mark.parametrize("choice", [{"units": "furlongs"}, {"terms": "FR"}, {"sizes": "9X"}, {"paper": "A0"}])
def test_an_edition_that_there_is_not_is_refused(choice):
    record = make_record()
    with pytest.raises(EditionFailed, match="There is no edition"):
        render_pdf(record=record, choices={**home_choices(record), **choice})


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_terms_of_the_other_language_are_listed():
    record = make_record(make_pattern("puffinbay_child"))
    pdf = render_pdf(record=record, choices={**home_choices(record), "terms": "US"})
    text = text_of(pdf.content)
    assert "Inthisedition" in text
    assert (
        "hdchtr" in text
    )  # a half treble in UK terms is a half double in US terms (the yarn council's table)


def test_cautions_for_a_child_name_what_is_dangerous(rendered):
    _, _, content = edition_of(rendered, "puffinbay_child")
    text = text_of(content)
    for words in (
        "Cords and ties can strangle",
        "Small parts can come off and choke",
        "stop when something hurts",
    ):
        assert squeezed(words) in text
    _, _, adult = edition_of(rendered, "cinderfell_raglan")
    assert "strangle" not in text_of(adult)


def test_the_words_of_a_record_are_the_printed_words_in_home_terms(rendered):
    record, graded, _ = edition_of(rendered, "puffinbay_child")
    core = record_pattern(record)
    facts = facts_of(core, graded)
    step = core.sections[1].steps[3]
    printed = " ".join(part.text for part in render_step(step, facts, PrintForm("cm", "UK")))
    assert squeezed(record["words"][1]["steps"][3]) == squeezed(printed)


AGAIN = """
import hashlib, sys
from pathlib import Path
import django
django.setup()
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.versions.records import read_record
record = read_record(Path(sys.argv[1]).read_text())
print(hashlib.sha256(render_pdf(record=record, choices=home_choices(record)).content).hexdigest())
"""


@pytest.mark.only_keeps_rows("an edition is made of its record alone; the samples are printed on both")
def test_the_same_version_gives_the_same_bytes_in_another_process(tmp_path):
    version = make_version(make_pattern("puffinbay_child"), kind="test", number="0.1")
    written = tmp_path / "record.json"
    written.write_text(version.record)
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", AGAIN, str(written)],
            capture_output=True,
            text=True,
            check=True,
            cwd=Path.cwd(),
            env={
                **os.environ,
                "PYTHONHASHSEED": seed,
                "EVENROW_DATA": str(tmp_path / "data"),
                "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
                "TZ": "Asia/Tokyo",
            },
        )
        assert done.stdout.strip() == version.editions.get().sha256
    assert canonical(read_record(version.record)) == version.record
