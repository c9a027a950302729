"""The text of an older pattern's file: what is kept, in which order, and what is refused."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from docx import Document
from pypdf import PdfReader, PdfWriter
from weasyprint import HTML

from catalogue.older import files
from catalogue.older.file_texts import FileRefusedError, read_file
from catalogue.older.files import read_upload
from grading.core.older.reading import read_older_text
from tests.catalogue.older.test_older_pages import FACTS

LONG = "Work in the round, knitting every stitch and slipping the marker, until it measures as said above."
PAGE = """<style>@page { size: A5; @bottom-center { content: "Larkmoss Studio, page " counter(page) } }
    body { font: 11pt/1.5 sans-serif } h2 { break-before: page }</style>"""


@pytest.fixture(scope="module")
def pdf():
    body = f"""<h1>Moor Hat</h1><p>Sizes: S (M, L)</p><h2>Brim</h2><p>Cast on 80 (88, 96) sts. {LONG}</p>
        <p>Row 1: knit.<br>Row 2: purl.</p><h2>Crown</h2><p>Decrease 8 (8, 8) sts.</p>
        <p>Fasten off, and draw the end through.</p>"""
    return HTML(string=PAGE + body).write_pdf()


@pytest.fixture
def docx():
    document = Document()
    document.add_heading("Moor Hat", 0)
    document.add_heading("Brim", 1)
    document.add_paragraph("Cast on 80 (88, 96) sts.")
    document.add_paragraph("Join in the round.", style="List Bullet")
    table = document.add_table(2, 4)
    for row, cells in zip(
        table.rows, (("", "S", "M", "L"), ("Circumference", "48", "52", "56")), strict=True
    ):
        for cell, words in zip(row.cells, cells, strict=True):
            cell.text = words
    document.add_paragraph("Fasten off.")
    return written(document)


def written(document):
    file = io.BytesIO()
    document.save(file)
    return file.getvalue()


def refusal(name, content):
    with pytest.raises(FileRefusedError) as refused:
        read_file(name, content)
    return str(refused.value)


def test_wrapped_lines_of_a_pdf_are_one_step_and_its_feet_are_left_out(pdf):
    older = read_older_text(read_file("Moor.PDF", pdf), ["S", "M", "L"], keep="cm")
    assert older.title == "Moor Hat"
    assert {section.title: section.steps for section in older.sections} == {
        "Notes": ("Sizes: S (M, L)",),
        "Brim": (f"Cast on 80 (88, 96) sts. {LONG}", "Row 1: knit.", "Row 2: purl."),
        "Crown": ("Decrease 8 (8, 8) sts.", "Fasten off, and draw the end through."),
    }


def test_headings_lists_and_tables_of_a_docx_keep_their_order(docx):
    older = read_older_text(read_file("moor.docx", docx), [], keep="cm")
    assert (older.title, older.sizes) == ("Moor Hat", ("S", "M", "L"))
    assert older.sections[0].steps == (
        "Cast on 80 (88, 96) sts.",
        "Join in the round.",
        "Sizes: S (M, L)",
        "Circumference: 48 (52, 56)",
        "Fasten off.",
    )


def test_plain_text_stays_as_it_is():
    assert read_file("a.txt", "\ufeffRow 1: 5½ in – knit.\r\n".encode()) == "Row 1: 5½ in – knit."


def test_what_holds_no_text_is_refused_with_the_remedy(pdf):
    assert refusal("moor.doc", b"x") == "“moor.doc” is not a PDF, DOCX or TXT file: save it as one of them."
    assert refusal("a.txt", b"\xff\xfe\x00") == (
        "The text file is not in UTF-8: save it as UTF-8, or paste its text."
    )
    assert refusal("a.pdf", HTML(string="<p>").write_pdf()) == (
        "The file has no text, perhaps only pictures of pages: paste or type it."
    )
    locked = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    locked.encrypt("moss", algorithm="RC4-128")
    file = io.BytesIO()
    locked.write(file)
    assert refusal("a.pdf", file.getvalue()) == "The PDF is locked with a password: save it without one."


def text_or_refusal(name, content):
    try:
        return read_file(name, content)
    except FileRefusedError as refused:
        return str(refused)


@pytest.mark.parametrize("part", [0, 1, 20, 400, -200])
def test_a_damaged_file_is_read_or_refused_and_never_breaks(part, pdf, docx):
    assert text_or_refusal("a.docx", docx[:part]) == (
        "The DOCX file is damaged: save it again, or paste its text."
    )
    assert text_or_refusal("a.pdf", pdf[:part]).startswith(("The PDF file is damaged", "Moor Hat"))


def test_an_entity_in_a_docx_opens_no_file(docx):
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(docx)) as old, zipfile.ZipFile(file, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "word/document.xml":
                part = part.replace(b"?>", b'?><!DOCTYPE a [<!ENTITY e SYSTEM "file:///etc/passwd">]>', 1)
                part = part.replace(b"Fasten off.", b"Fasten &e; off.")
            new.writestr(name, part)
    assert "root:" not in read_file("a.docx", file.getvalue())


def test_a_file_that_takes_too_much_is_ended_and_refused(docx, monkeypatch):
    bomb = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(docx)) as old, zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = old.read(name)
            new.writestr(name, part + b" " * 150_000_000 if name == "word/document.xml" else part)
    monkeypatch.setattr(files, "MEMORY_MIB", 100)
    with pytest.raises(FileRefusedError, match=r"too much memory|could not be read"):
        read_upload("a.docx", io.BytesIO(bomb.getvalue()))
    monkeypatch.setattr(files, "SECONDS", 0.01)
    with pytest.raises(FileRefusedError, match="takes too long to read: paste its text"):
        read_upload("a.docx", io.BytesIO(docx))
    monkeypatch.setattr(files, "MOST_BYTES", 100)
    with pytest.raises(FileRefusedError, match="larger than"):
        read_upload("a.docx", io.BytesIO(docx))


@pytest.mark.django_db
def test_the_text_of_a_file_is_shown_before_anything_is_read_of_it(designer_client, pdf):
    sent = FACTS | {"title": "Moor two", "text": "typed before", "take": "1"}
    answer = designer_client.post(
        reverse("older_lists"), sent | {"file": SimpleUploadedFile("moor.pdf", pdf)}
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Cast on 80 (88, 96) sts." in page
    assert 'value="Moor two"' in page
    assert "typed before" not in page


@pytest.mark.django_db
def test_a_file_that_is_refused_leaves_what_was_typed(designer_client):
    sent = FACTS | {"text": "typed before"}
    answer = designer_client.post(
        reverse("older_lists"), sent | {"file": SimpleUploadedFile("a.pdf", b"%PDF-")}
    )
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "The PDF file is damaged: save it again, or paste its text." in page
    assert "typed before" in page


@pytest.mark.django_db
def test_the_enter_key_reads_the_text_though_no_file_is_chosen(designer_client):
    answer = designer_client.post(reverse("older_lists"), FACTS | {"take": "1"})
    assert "Larkmoss Moor Pullover: what was read" in answer.content.decode()
