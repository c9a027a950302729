"""Private parts of libraries: each is used in one module; what a release has taken away is said in words."""

import inspect
import re
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest
import weasyprint
from allauth.account.adapter import DefaultAccountAdapter
from django_tasks_db.models import DBTaskResult
from markdown_it import MarkdownIt

from catalogue.editions.page_boxes import laid_out_words

ROOT = Path(__file__).resolve().parents[2]
RATE_LIMITS = "allauth.core.internal.ratelimit"
CODES = "allauth.account.internal.flows.login_by_code"
THREADS = "gunicorn.workers.gthread"


PACKAGES = {
    "allauth": "django-allauth",
    "django_tasks_db": "django-tasks-db",
    "markdown_it": "markdown-it-py",
}


@dataclass(frozen=True)
class Part:
    """A part of a library that it promises to nobody."""

    user: str
    module: str
    name: str
    takes: str
    does: str

    @property
    def library(self):
        """The name of the package that has it."""
        top = self.module.partition(".")[0]
        return PACKAGES.get(top, top)


SIGN_IN = "catalogue/studio/sign_in_library.py"
WORKER = "catalogue/site/patient_worker.py"
BOXES = "catalogue/editions/page_boxes.py"
TAGS = "catalogue/editions/pdf_tags.py"
QUEUE = "catalogue/studio/task_queue.py"
MARKDOWN = "catalogue/instructions/markdown.py"
BLOCK_RULE, BLOCK_TAKES = "markdown_it.rules_block", "state startLine endLine silent"
PARTS = [
    Part(SIGN_IN, RATE_LIMITS, "consume", "request app action key", "counts tries"),
    Part(SIGN_IN, RATE_LIMITS, "get_ip", "request", "tells clients apart"),
    Part(SIGN_IN, RATE_LIMITS, "RateLimitUsage", "usage", "holds the tries to take back"),
    Part(SIGN_IN, CODES, "LoginCodeVerificationProcess.initiate", "request user email", "mails a code"),
    Part(WORKER, THREADS, "ThreadWorker.load_wsgi", "self", "loads the pages"),
    Part(WORKER, THREADS, "ThreadWorker.handle", "self conn", "reads the head of a request"),
    Part(WORKER, THREADS, "ThreadWorker.handle_request", "self req conn", "answers a request"),
    Part(WORKER, THREADS, "ThreadWorker.murder_pending", "self", "looks at all clients each second"),
    Part(BOXES, "weasyprint.formatting_structure.boxes", "TextBox", "text", "holds the words of a line"),
    Part(TAGS, "pydyf", "String", "string", "holds the words of a link"),
    Part(
        QUEUE, "django_tasks_db.models", "DBTaskResultQuerySet.ready", "self", "finds the tasks that are due"
    ),
    Part(MARKDOWN, BLOCK_RULE, "list_block", BLOCK_TAKES, "reads a list"),
    Part(MARKDOWN, BLOCK_RULE, "hr", BLOCK_TAKES, "reads a rule across the page"),
    Part(MARKDOWN, "markdown_it.rules_inline.emphasis", "tokenize", "state silent", "reads emphasis"),
]
QUEUE_COLUMNS = "args_kwargs finished_at started_at status task_path traceback worker_ids"
# What only the named module may write.
WRITTEN_ONCE = {
    r"allauth\S*\.internal|_login_failed_rl_usage": SIGN_IN,
    r"gunicorn\.workers": WORKER,
    r"weasyprint\.formatting_structure|\._page_box\b": BOXES,
    r"\bimport pydyf|\bfrom pydyf": TAGS,
    r"django_tasks_db\.models": QUEUE,
    r"markdown_it\.rules": MARKDOWN,
}


def gone(part):
    """What a part lacks, as a sentence; nothing when it is as it was."""
    named = f"{part.library} {version(part.library)}: {part.module} has"
    use = f"It {part.does}; see {part.user}."
    try:
        found: Any = import_module(part.module)
        for name in part.name.split("."):
            found = getattr(found, name)
    except (ImportError, AttributeError):
        return f"{named} no {part.name} any more. {use}"
    taken = inspect.signature(found).parameters
    lacking = [name for name in part.takes.split() if name not in taken]
    return f"{named} {part.name} without {', '.join(lacking)}. {use}" if lacking else ""


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_a_private_part_that_is_used_is_still_there(part):
    assert gone(part) == ""


def test_what_a_release_took_away_is_told_in_words():
    lost = gone(Part(WORKER, THREADS, "ThreadWorker.murder_slowly", "self", "ends slow clients"))
    of = f"gunicorn {version('gunicorn')}: gunicorn.workers.gthread"
    assert lost == f"{of} has no ThreadWorker.murder_slowly any more. It ends slow clients; see {WORKER}."
    changed = gone(Part(WORKER, THREADS, "ThreadWorker.handle", "client", "reads a request"))
    assert changed == f"{of} has ThreadWorker.handle without client. It reads a request; see {WORKER}."
    moved = gone(Part(WORKER, "gunicorn.workers.old", "Worker", "", "serves"))
    assert "gunicorn.workers.old has no Worker any more." in moved


def test_tries_that_proved_right_are_taken_back_under_the_name_that_the_library_asks_for():
    asked = inspect.getsource(DefaultAccountAdapter._rollback_login_failed_rl_usage)
    assert '"_login_failed_rl_usage"' in asked, (
        f"django-allauth {version('django-allauth')} asks for another name"
    )


def test_the_rows_of_the_queue_have_the_columns_that_are_read():
    lacking = set(QUEUE_COLUMNS.split()) - {column.name for column in DBTaskResult._meta.get_fields()}
    library = f"django-tasks-db {version('django-tasks-db')}"
    assert not lacking, f"{library}: the queue has no {', '.join(sorted(lacking))} any more; see {QUEUE}."


@pytest.mark.parametrize(
    ("rules", "names"),
    [
        (MarkdownIt().block.ruler, {"list", "hr", "paragraph", "reference", "blockquote"}),
        (MarkdownIt().inline.ruler, {"emphasis", "link", "image", "autolink", "html_inline"}),
    ],
)
def test_the_rules_of_markdown_have_the_names_by_which_they_are_replaced(rules, names):
    lacking = names - set(rules.get_all_rules())
    assert not lacking, f"markdown-it-py has no rule {', '.join(sorted(lacking))} any more; see {MARKDOWN}."


def test_the_words_of_a_page_are_found_in_its_boxes():
    pages = weasyprint.HTML(string="<p>Knit eleven rows.<p>Cast off.").render().pages
    assert laid_out_words(pages) == "Knit eleven rows.\nCast off."


@pytest.mark.parametrize(("written", "user"), WRITTEN_ONCE.items())
def test_private_parts_of_a_library_are_used_in_one_module(written, user):
    users = {
        path.relative_to(ROOT).as_posix()
        for part in ("catalogue", "testing", "grading")
        for path in (ROOT / part).rglob("*.py")
        if re.search(written, path.read_text("utf-8"))
    }
    assert users == {user}
