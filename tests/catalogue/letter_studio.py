"""A studio of its own for the proof that no letter is lost: run as a program, in a data folder of its own.

python -m tests.catalogue.letter_studio post 12    as many letters, posted
python -m tests.catalogue.letter_studio look WORKER   what the supervisor does when a worker died, later on
python -m tests.catalogue.letter_studio state      how many letters are in which state, as JSON
"""

import json
import os
import sys
from collections import Counter


def say(found):
    """Print what was found as one line of JSON."""
    sys.stdout.write(json.dumps(found) + "\n")


def post(number):
    """Post letters to as many addresses."""
    from django.core.management import call_command

    from catalogue.studio.mailing import post_mail

    call_command("migrate", verbosity=0)
    for place in range(number):
        post_mail(to=f"reader{place}@larkmoss.example", subject="Hello", text=f"Letter {place}")
    say(number)


def look(worker):
    """Return the tasks of the dead worker and sweep, when what it had in hand is due again."""
    from django.utils import timezone

    from catalogue.models import Letter
    from catalogue.studio.letters import sweep_letters
    from catalogue.studio.task_queue import return_tasks_of

    Letter.objects.filter(state="waiting").update(try_at=timezone.now())
    return_tasks_of(worker_id=worker)
    say(sweep_letters())


def state():
    """How many letters are in which state."""
    from catalogue.models import Letter

    say(Counter(Letter.objects.values_list("state", flat=True)))


if __name__ == "__main__":
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "catalogue.site.settings"
    django.setup()
    what, *more = sys.argv[1:]
    {"post": lambda: post(int(more[0])), "look": lambda: look(more[0]), "state": state}[what]()
