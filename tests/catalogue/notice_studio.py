"""A studio of its own for the proof of sending: run as a program, in a data folder of its own.

python -m tests.catalogue.notice_studio prepare 20000   holders, and the press of the button, timed
python -m tests.catalogue.notice_studio rescue WORKER   what the supervisor does when a worker died
python -m tests.catalogue.notice_studio state           progress, as JSON
"""

import json
import os
import sys
import time
from datetime import UTC, datetime


def say(found):
    """Print what was found as one line of JSON."""
    sys.stdout.write(json.dumps(found) + "\n")


def prepare(number):
    """Two releases, an erratum between them, holders of both, and the button pressed."""
    from django.core.management import call_command
    from django.test import Client
    from django.urls import reverse

    from catalogue.holders.notices import notice_glance
    from catalogue.models import Holder, Notice
    from catalogue.versions.glances import written_glance
    from tests.builders import make_person

    call_command("migrate", verbosity=0)
    old, new = _releases()
    rows = [_holder(Holder, old, f"holder{place}@larkmoss.example", "wants") for place in range(number)]
    rows += [_holder(Holder, old, f"gone{place}@larkmoss.example", "left") for place in range(number // 10)]
    rows += [_holder(Holder, new, f"has-new{place}@larkmoss.example", "wants") for place in range(50)]
    Holder.objects.bulk_create(rows, batch_size=500)
    notice = Notice.objects.get(version=new)
    browser = Client(HTTP_HOST="127.0.0.1")
    browser.force_login(make_person(role="designer"))
    browser.get(reverse("robots"))  # a server that has answered before has loaded its pages
    typed = {"words": "Fetch the new one.", "seen": written_glance(notice_glance(notice))}
    started = time.monotonic()
    answer = browser.post(reverse("notice_send", args=[notice.pk]), typed)
    say({"seconds": time.monotonic() - started, "status": answer.status_code})


def _holder(model, version, email, state):
    return model(pattern=version.pattern, version=version, email=email, state=state)


def _releases():
    """1.0 with a mistake and 1.1 without, frozen without PDFs, and the notice of 1.1."""
    from catalogue.errata.errata import Mistake, correct_erratum, judge_erratum, report_erratum
    from catalogue.holders.notices import draft_notice
    from catalogue.models import Version
    from catalogue.versions.freezing import Heading, draft_record
    from catalogue.versions.records import canonical, digest_of
    from tests.catalogue.builders import edit, make_pattern
    from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole

    at, pattern, found = datetime(2026, 3, 1, tzinfo=UTC), make_pattern(), []
    for minor, change in enumerate((wrong_armhole, mended_armhole)):
        edit(pattern, change)
        text = canonical(draft_record(pattern, Heading(f"1.{minor}", "release", "", at)))
        found.append(
            Version.objects.create(
                pattern=pattern, major=1, minor=minor, kind="release", state="published",
                record=text, sha256=digest_of(text), frozen_at=at, published_at=at,
            )
        )  # fmt: skip
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", says="too long", found_in=found[0])
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    correct_erratum(erratum=erratum, version=found[1])
    draft_notice(found[1])
    return found


def rescue(worker):
    """Return the tasks of a dead worker, as the supervisor does before it starts another."""
    from catalogue.studio.task_queue import return_tasks_of

    say(return_tasks_of(worker_id=worker))


def state():
    """How far the notice is."""
    from catalogue.holders.notices import notice_progress
    from catalogue.models import Notice

    notice = Notice.objects.get()
    say({"state": notice.state, **notice_progress(notice)})


if __name__ == "__main__":
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "catalogue.site.settings"
    django.setup()
    what, *more = sys.argv[1:]
    {"prepare": lambda: prepare(int(more[0])), "rescue": lambda: rescue(more[0]), "state": state}[what]()
