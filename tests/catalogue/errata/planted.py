"""Errata planted over samples: a pattern with a mistake, the same without, and where the mistake is."""

import json
from datetime import UTC, datetime
from pathlib import Path

from catalogue.drafts.patterns import load_pattern
from catalogue.errata.errata import Mistake, correct_erratum, judge_erratum, report_erratum
from catalogue.models import Holder, Notice, Version
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import canonical, digest_of
from tests.builders import sample
from tests.catalogue.builders import edit, value_of

GARMENTS = Path(__file__).resolve().parents[2] / "data" / "garments"
AT = datetime(2026, 3, 1, tzinfo=UTC)
# Counts whose formulas are spoiled, by sample.
COUNTS = {
    "brackenmere_pullover": "back_stitches rib_rows armhole_rows sleeve_rows neck_rows neckband_stitches",
    "cinderfell_raglan": "body_rounds sleeve_stitches yoke_rounds neck_rib_rounds hem_rib_rounds",
    "puffinbay_child": "band_rows back_stitches armhole_rows sleeve_rows hood_rows edge_side_stitches",
    "thistledrift_waistcoat": "back_stitches hem_rows neck_stitches pocket_rows front_edge_rows",
    "twitewell_hat": "hat_stitches brim_stitches top_stitches",
    "twitewell_mittens": "start",
}


# A hat's counts are multiples of its wedges: less would be rounded away in some sizes.
BY = {"twitewell_hat": 48}


def document_of(name):
    path = GARMENTS / f"{name}.json"
    return json.loads(path.read_text()) if path.exists() else sample(name)


def freeze(pattern, minor):
    """A published release without a PDF."""
    text = canonical(draft_record(pattern, Heading(f"1.{minor}", "release", "", AT)))
    return Version.objects.create(
        pattern=pattern, major=1, minor=minor, kind="release", state="published",
        record=text, sha256=digest_of(text), frozen_at=AT, published_at=AT,
    )  # fmt: skip


def plant(name, place, spoil):
    """1.0 with a mistake at a place, 1.1 without it, the erratum, and the notice to one holder of 1.0."""
    pattern = load_pattern(document=document_of(name), by=None)
    right = document_of(name)
    edit(pattern, spoil)
    wrong = freeze(pattern, 0)

    def mend(document):
        document.clear()
        document.update(right)

    edit(pattern, mend)
    mended = freeze(pattern, 1)
    Holder.objects.create(pattern=pattern, version=wrong, email="holder@larkmoss.example")
    erratum = report_erratum(Mistake(pattern=pattern, place=place, should_say="as in 1.1", found_in=wrong))
    judge_erratum(erratum=erratum, is_mistake=True)
    correct_erratum(erratum=erratum, version=mended)
    return wrong, mended, erratum, Notice.objects.create(version=mended, state="draft")


def spoil_count(name, by=2):
    """Make a count too large in every size."""

    def spoil(document):
        value = value_of(document, name)
        value["formula"] = f"({value['formula']}) + {by} {value['kind']}"

    return spoil


def spoil_words(document):
    """A step says something else."""
    steps = document["sections"][0]["steps"]
    steps[1] = f"Turn the work inside out. {steps[1]}"


def typed_number(document):
    """A reference was typed over."""
    steps = document["sections"][1]["steps"]
    before, _, after = steps[0].partition("{")
    steps[0] = f"{before}999{after.partition('}')[2]}"


def lost_sentence(document):
    """A step has lost its end."""
    steps = document["sections"][1]["steps"]
    steps[2] = steps[2].partition(". ")[0] + "."


def step_too_many(document):
    """A step stands twice."""
    steps = document["sections"][2]["steps"]
    steps.insert(0, steps[-1])


PLANTS = [
    *(
        (name, f"values.{count}", spoil_count(count, BY.get(name, 2)))
        for name, counts in COUNTS.items()
        for count in counts.split()
    ),
    ("brackenmere_pullover", "sections[0].steps[1]", spoil_words),
    ("cinderfell_raglan", "sections[1].steps[0]", typed_number),
    ("puffinbay_child", "sections[1].steps[2]", lost_sentence),
    ("thistledrift_waistcoat", "sections[2].steps[0]", step_too_many),
]
