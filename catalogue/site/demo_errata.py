"""The demo's published pattern: mistakes in every state, its holders, one notice sent and one drafted."""

import datetime as dt
import json
from typing import Any

from django.utils import timezone

from catalogue.drafts.edits import edit_document
from catalogue.drafts.patterns import load_pattern
from catalogue.errata.correcting import correct_afterwards
from catalogue.errata.errata import (
    Mistake,
    add_sighting,
    change_erratum,
    judge_erratum,
    report_erratum,
)
from catalogue.errata.guards import add_guard
from catalogue.errata.merging import merge_errata
from catalogue.holders.holders import NewHolder, ask_to_confirm, store_holders, unsubscribe
from catalogue.holders.pdf_links import give_pdf
from catalogue.holders.sending import start_notice
from catalogue.models import Erratum, Holder, Notice, Pattern, Person, Version
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.site.demo_dates import days_ago
from catalogue.site.demo_pictures import add_picture
from catalogue.site.demo_stages import sample_document

# What the first release says wrongly, each with what the pattern file says.
MISTAKES = {
    "34 rows": "{side_rows} rows",
    "max(drop, 0 cm)) * main.rows": "max(drop, 0 cm) - rib_height) * main.rows",
    "With the larger hook and the right side": "With the smaller hook and the right side",
}
# What the second one still says wrongly.
LATER_MISTAKE = {
    "the wrong side facing join the yarn at a marker": "the right side facing join the yarn at a marker"
}
OF_FIRST = ("ida@larkmoss.example", "bettan@larkmoss.example", "corin@larkmoss.example")
BUYER = OF_FIRST[0]  # whose link to the PDF stands in an e-mail
GONE, OF_SECOND, UNSURE, ASKING = (f"{name}@larkmoss.example" for name in ("odo", "wren", "tamsin", "linnet"))


def make_corrected_pullover(*, by: Person, found_by: Person) -> Pattern:
    """Three releases: the second corrects the first, the third both; from the reports to the notices."""
    right = sample_document("brackenmere_pullover")
    better = _with_mistakes(right, LATER_MISTAKE)
    pattern = load_pattern(document=_with_mistakes(better, MISTAKES), by=by)
    add_picture(pattern=pattern, name="brackenmere_pullover", document=right)
    first = publish_version(
        Publication(
            pattern=pattern, kind="release", number="1.0", note="First release.", by=by, at=days_ago(70)
        )
    )
    _store_holders(pattern, first)
    corrects = [_report_rows(first, found_by), _report_sleeve(first, found_by)]
    pattern.refresh_from_db()
    edit_document(pattern=pattern, revision=pattern.sheet.revision, document=better, by=by)
    note = "Rows below the armholes and the length of the sleeves are right in every size."
    second = publish_version(
        Publication(
            pattern=pattern,
            kind="release",
            number="1.1",
            note=note,
            by=by,
            corrects=corrects,
            at=days_ago(38),
        )
    )
    _guard_sleeve(corrects[1], by=found_by)
    words = "Fetch version 1.1 where you bought yours, or write these corrections into it."
    start_notice(notice=Notice.objects.get(version=second), words=words, by=by)
    _correct_neckband_afterwards(first, second, by=by)
    _report_what_is_open(second, found_by)
    _store(pattern, second, [OF_SECOND])
    _correct_side(second, right, by=by)
    give_pdf(holder=Holder.objects.get(pattern=pattern, email=BUYER), version=first)
    return pattern


def _with_mistakes(right: dict[str, Any], mistakes: dict[str, str]) -> dict[str, Any]:
    """The pattern file as an earlier release had it: what it says wrongly, and what it means."""
    text = json.dumps(right)
    for wrong, meant in mistakes.items():
        text = text.replace(meant, wrong)
    document: dict[str, Any] = json.loads(text)
    return document


def _store_holders(pattern: Pattern, first: Version) -> None:
    """Buyers of the first release, one of them gone, one who does not know; and somebody who asks."""
    _store(pattern, first, [*OF_FIRST, GONE])
    _store(pattern, None, [UNSURE])
    unsubscribe(holder=Holder.objects.get(pattern=pattern, email=GONE))
    ask_to_confirm(pattern=pattern, email=ASKING, version=first)


def _store(pattern: Pattern, version: Version | None, emails: list[str]) -> None:
    """Holders since today."""
    since = timezone.localdate()
    holders = [NewHolder(email, pattern, version, since) for email in emails]
    store_holders(holders=holders, source="imported")


def _report_rows(first: Version, found_by: Person) -> Erratum:
    """A row count that was typed and is wrong."""
    erratum = report_erratum(
        Mistake(
            pattern=first.pattern,
            place="sections[0].steps[2]",
            says="34 rows",
            should_say="28 rows",
            why="The rows of the rib were counted in.",
            found_by=str(found_by),
            found_in=first,
        )
    )
    judge_erratum(erratum=erratum, is_mistake=True, by=found_by)
    return erratum


def _report_sleeve(first: Version, found_by: Person) -> Erratum:
    """A sleeve that is too long, met by several people."""
    erratum = report_erratum(
        Mistake(
            pattern=first.pattern,
            place="values.sleeve_rows",
            says="42 (42, 42, 42) [40, 40, 36] (36, 34)",
            should_say="36 (36, 36, 36) [34, 34, 30] (30, 28)",
            why="The rows of the cuff rib were counted in, so the sleeve came out 6 cm too long.",
            source="letter",
            found_by="Ida, by letter",
            found_in=first,
        )
    )
    judge_erratum(erratum=erratum, is_mistake=True, by=found_by)
    add_sighting(erratum=erratum, version=first, found_by="Corin, by letter", note="In 2X too.", by=found_by)
    same = report_erratum(
        Mistake(
            pattern=first.pattern,
            place="values.sleeve_length",
            sizes=["2X"],
            says="a seam that is longer than my arm",
            source="letter",
            found_by="Bettan, by letter",
            found_in=first,
        )
    )
    merge_errata(erratum=same, into=erratum, by=found_by)
    return erratum


def _guard_sleeve(erratum: Erratum, *, by: Person) -> None:
    """A check that would have noticed the long sleeve."""
    erratum.refresh_from_db()
    holds = "sleeve_length + max(drop, 0 cm) <= arm_length + 5 cm"
    add_guard(erratum=erratum, holds=holds, says="The sleeve is longer than the arm.", by=by)


def _correct_neckband_afterwards(first: Version, second: Version, *, by: Person) -> None:
    """A mistake that came to light when it was right already: the draft of a second notice."""
    erratum = report_erratum(
        Mistake(
            pattern=first.pattern,
            place="sections[3].steps[0]",
            says="With the larger hook and the right side",
            should_say="With the smaller hook and the right side",
            why="With the larger hook the neckband stands away from the neck.",
            source="letter",
            found_by="Corin, by letter",
            found_in=first,
        )
    )
    judge_erratum(erratum=erratum, is_mistake=True, by=by)
    correct_afterwards(erratum=erratum, version=second, by=by)


def _correct_side(second: Version, right: dict[str, Any], *, by: Person) -> None:
    """A mistake of both releases, corrected by a third, whose notice is on its way."""
    erratum = report_erratum(
        Mistake(
            pattern=second.pattern,
            place="sections[2].steps[0]",
            says="the wrong side facing join the yarn at a marker",
            should_say="the right side facing join the yarn at a marker",
            why="With the wrong side facing the edge of the armhole stands out on the right side.",
            gravity="misleading",
            source="letter",
            found_by="Wren, by letter",
            found_in=second,
        )
    )
    judge_erratum(erratum=erratum, is_mistake=True, by=by)
    pattern = Pattern.objects.get(pk=second.pattern_id)
    edit_document(pattern=pattern, revision=pattern.sheet.revision, document=right, by=by)
    third = publish_version(
        Publication(
            pattern=pattern,
            kind="release",
            number="1.2",
            note="",
            by=by,
            corrects=[erratum],
            at=days_ago(20),
        )
    )
    words = "Write this correction into your copy, or fetch version 1.2 where you bought yours."
    start_notice(notice=Notice.objects.get(version=third), words=words, by=by)


def _report_what_is_open(second: Version, found_by: Person) -> None:
    """One that should be settled by now, one that nobody has judged, and one that was no mistake."""
    late = report_erratum(
        Mistake(
            pattern=second.pattern,
            place="sections[1].steps[0]",
            says="Work as the back until",
            should_say="Work as the back, with the markers of the armholes, until",
            why="Without markers on the front nobody finds where the sleeve begins.",
            gravity="misleading",
            source="letter",
            found_by="Wren, by letter",
            found_in=second,
        )
    )
    judge_erratum(erratum=late, is_mistake=True, by=found_by)
    yesterday = timezone.localdate() - dt.timedelta(days=1)
    change_erratum(erratum=late, changes={"due_on": yesterday}, by=found_by)
    report_erratum(
        Mistake(
            pattern=second.pattern,
            place="sections[0].steps[0]",
            says="with the smaller hook",
            should_say="with the smaller hook, loosely",
            why="A buyer asks whether the rib should draw in.",
            kind="wording",
            gravity="cosmetic",
            found_by=f"A letter to {found_by}",
            found_in=second,
        )
    )
    none = report_erratum(
        Mistake(
            pattern=second.pattern,
            place="gauge",
            says="10 rows to 10 cm",
            should_say="14 rows to 10 cm",
            why="Counted in single crochet, which is not the fabric of this gauge.",
            source="letter",
            found_by="Tamsin, by letter",
            found_in=second,
        )
    )
    judge_erratum(erratum=none, is_mistake=False, by=found_by)
