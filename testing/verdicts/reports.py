"""The results of a call as a PDF for the studio; no tester is named in it."""

from hashlib import sha256
from typing import Any

from django.template.loader import get_template, render_to_string

from catalogue.editions.ingredients import FONTS, OWN, font_path, template_folder
from catalogue.editions.pdf_writing import Files, PageSource, write_pdf
from catalogue.models import Studio
from testing.models import TestCall
from testing.results.sent_things import tellings_of
from testing.verdicts.judging import judge_call
from testing.verdicts.sentences import Found
from testing.verdicts.shown_verdicts import show_verdicts

# What the page's style sheet gives the parts of the picture, as attributes, which the painter of PDFs reads.
PAINT = {
    "plot-band": 'fill="#e2ecec"',
    "plot-dot": 'fill="#2b241d"',
    "plot-dot-doubtful": 'fill="none" stroke="#97291b" stroke-width="2"',
    "plot-interval": 'stroke="#1f5a63" stroke-width="3"',
    "plot-zero": 'stroke="#2b241d" stroke-width="1"',
    "plot-grid": 'stroke="#d9ccb4" stroke-width="1"',
    "plot-label": 'fill="#2b241d" font-size="13" font-family="Source Sans 3"',
}


def report_pdf(*, call: TestCall, found: Found, units: str) -> bytes:
    """Paint verdicts, doubtful entries, picture and tables."""
    judged = judge_call(call, found, units)
    context: dict[str, Any] = {
        "call": call,
        "number": call.version.number if call.version else "",
        "studio": Studio.objects.first(),
        "shown": show_verdicts(call, found, judged, units),
        "judged": judged,
        "tellings": [one for one in tellings_of(call) if one.told],
        "units": units,
    }
    html = _with_paint(render_to_string("testing/report.html", context))
    files: Files = {f"{OWN}font/{name}": font_path(name).read_bytes for name in FONTS}
    files[f"{OWN}weave.svg"] = (template_folder() / "weave.svg").read_bytes
    style = get_template("testing/report.css").render({})
    painted = write_pdf(PageSource(html, files, style, identity=sha256(html.encode()).hexdigest()))
    # Nothing is painted only when a number of pages is not wanted, and here every number is.
    return painted.content if painted else b""


def _with_paint(html: str) -> str:
    """The page with the parts of the picture painted."""
    for name, attributes in PAINT.items():
        html = html.replace(f'class="{name}"', attributes)
    return html
