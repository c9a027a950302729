"""Where a pattern stands in its life, and the one thing to do next."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.db.models import Count, Exists, Min, OuterRef, Q, QuerySet, Subquery
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.finding_spots import finding_page
from catalogue.drafts.guard_findings import JUDGED_STATES
from catalogue.drafts.tasks import Task
from catalogue.models import Guard, Holder, Notice, Pattern, PatternEdit, Person, Photo, Version
from catalogue.studio.roles import is_designer, may_publish
from grading.grid.grid import place_label
from grading.models import Finding, Value

LIFE = ("draft", "in test", "published")
PUBLISH_TEST, SEND_NOTICE = "Publish a test version", "Send the notice to its holders"
READ, ANSWERS = "Read it in the technical edit", "technical_edit"


@dataclass(frozen=True)
class Standing:
    """The state in a word, what to do next ("" where nothing is), and the name of the page for that.

    `address` leads on where the page is one of many of its name.
    """

    state: str
    act: str
    page: str
    address: str = ""
    stopped: str = ""
    """Why it can't be published, and since when, where the list of findings does not keep it."""
    is_designers: bool = False
    """Whether nobody else may do it."""


@dataclass(frozen=True)
class DeskLine:
    """A pattern from `with_standing` in the list of the studio: where it stands, and who waits."""

    pattern: Any
    standing: Standing
    waiting: list[str]
    notices: list[Notice]

    @property
    def act_page(self) -> str:
        """Where what is to be done next is done."""
        return act_page(self.standing, self.pattern.slug)

    @property
    def is_to_read(self) -> bool:
        """Whether an editor who has not read it yet should: it is no release that stands as it was."""
        return self.standing.state != LIFE[-1] or self.pattern.is_edited_since_release

    @property
    def photo(self) -> Photo | None:
        """Its first photo."""
        return next(iter(self.pattern.photos.all()), None)

    @property
    def says(self) -> str:
        """Craft and sizes."""
        sizes = self.pattern.sheet.graded_sizes
        shown = f"{sizes[0]} to {sizes[-1]}" if len(sizes) > 1 else "".join(sizes)
        craft = str(self.pattern.sheet.header.get("craft", ""))
        return " · ".join(part for part in (craft.capitalize(), shown) if part)


def act_page(standing: Standing, slug: str) -> str:
    """The address of the page for what is to be done next."""
    return standing.address or reverse(standing.page, args=[slug])


def drafted_notices(patterns: Iterable[Pattern]) -> dict[int, list[Notice]]:
    """Notices that wait to be looked at and sent, by the key of their pattern."""
    found: dict[int, list[Notice]] = {}
    waiting = Notice.objects.filter(version__pattern__in=list(patterns), state="draft")
    for notice in waiting.select_related("version").order_by("version__major", "version__minor"):
        found.setdefault(notice.version.pattern_id, []).append(notice)
    return found


def with_standing(patterns: QuerySet[Pattern]) -> QuerySet[Pattern]:
    """Add to patterns what their standing is read from."""
    stops = Finding.objects.filter(sheet=OuterRef("sheet"), weight="stop")
    open_errata = Q(errata__state__in=("reported", "confirmed"))
    drafts = Notice.objects.filter(version__pattern=OuterRef("pk"), state="draft")
    holders = Holder.objects.filter(pattern=OuterRef("version__pattern"), state="wants")
    others = holders.exclude(version=OuterRef("version"))
    waiting = Q(edit_queries__technical_edit=None, edit_queries__answer="")
    holding = waiting & Q(edit_queries__is_blocking=True)
    releases = Version.objects.filter(pattern=OuterRef(OuterRef("pk")), kind="release", state="published")
    newest = releases.order_by("-frozen_at").values("frozen_at")[:1]
    later = PatternEdit.objects.filter(pattern=OuterRef("pk"), made_at__gt=Subquery(newest))
    broken = Guard.objects.filter(
        erratum__pattern=OuterRef("pk"), erratum__state__in=JUDGED_STATES, broken_since__isnull=False
    ).order_by("broken_since", "pk")
    return patterns.annotate(
        broken_says=Subquery(broken.values("says")[:1]),
        broken_since=Subquery(broken.values("broken_since")[:1]),
        broken_erratum=Subquery(broken.values("erratum")[:1]),
        broken_state=Subquery(broken.values("erratum__state")[:1]),
        open_queries=Count("edit_queries", filter=waiting, distinct=True),
        holding_queries=Count("edit_queries", filter=holding, distinct=True),
        has_values=Exists(Value.objects.filter(sheet=OuterRef("sheet"))),
        has_stops=Exists(stops),
        first_stop=Subquery(stops.order_by("pk").values("where")[:1]),
        open_errata=Count("errata", filter=open_errata, distinct=True),
        first_erratum=Min("errata", filter=open_errata),
        is_released=Exists(Version.objects.filter(pattern=OuterRef("pk"), kind="release", state="published")),
        is_in_test=Exists(Version.objects.filter(pattern=OuterRef("pk"), kind="test", state="published")),
        has_notice_to_send=Exists(drafts.filter(Exists(others))),
        is_waiting=Exists(Version.objects.filter(pattern=OuterRef("pk"), state="waiting")),
        is_edited_since_release=Exists(later),
        **import_string(settings.IN_TEST_FACTS)(),
    )


def is_stopped(pattern: Pattern) -> bool:
    """Whether a finding, a mistake that is in it, or a query that holds it stops a release."""
    found: Any = with_standing(Pattern.objects.filter(pk=pattern.pk)).get()
    return bool(found.has_stops or found.broken_says or found.holding_queries)


def standing_of(pattern: Any) -> Standing:
    """Say where a pattern from `with_standing` stands: the first thing that holds it up, in working order."""
    state = _state(pattern)
    if not pattern.has_values:
        return Standing(state, "Enter the first values", "sheet")
    if pattern.has_stops:
        document = pattern_document(pattern)
        place = place_label(document, pattern.first_stop)
        address = finding_page(pattern.slug, document, pattern.first_stop)
        return Standing(state, f"Correct {place}", "desk_pattern", address)
    if pattern.broken_says:
        address = reverse("erratum", args=[pattern.slug, pattern.broken_erratum])
        mistake = f"a {'corrected' if pattern.broken_state == 'corrected' else 'known'} mistake"
        since = timezone.localtime(pattern.broken_since)
        stopped = (
            f"{pattern.title} can’t be published: {pattern.broken_says.rstrip('.')}, "
            f"{mistake}, since {since.day} {since:%B %Y}."
        )
        act = (
            "Remove the mistake that came back"
            if pattern.broken_state == "corrected"
            else "Correct a known mistake"
        )
        return Standing(state, act, "erratum", address, stopped)
    if pattern.holding_queries:
        return Standing(state, f"{_answer(pattern.holding_queries)} (stops the release)", *_queries(pattern))
    if pattern.is_waiting:
        return Standing(state, "See its PDFs being made", "versions")
    if pattern.open_errata:
        count, one = pattern.open_errata, reverse("erratum", args=[pattern.slug, pattern.first_erratum])
        if count == 1:
            return Standing(state, "Settle 1 erratum", "erratum", one)
        return Standing(state, f"Settle {count} errata", "errata")
    if pattern.has_notice_to_send:
        return Standing(state, SEND_NOTICE, "errata")
    return _on_its_way(pattern, state)


def _on_its_way(pattern: Any, state: str) -> Standing:
    """What to do in a pattern that nothing holds up."""
    if pattern.open_queries:
        return Standing(state, _answer(pattern.open_queries), *_queries(pattern))
    if pattern.is_released:
        return Standing(state, "", "versions")
    if pattern.is_in_test:
        act, page, is_designers = import_string(settings.IN_TEST_ACT)(pattern)
        return Standing(state, act, page, is_designers=is_designers)
    return Standing(state, PUBLISH_TEST, "versions")


def _answer(count: int) -> str:
    return f"Answer {count} {'query' if count == 1 else 'queries'}"


def _queries(pattern: Any) -> tuple[str, str]:
    """The page on which queries are answered, and where on it."""
    return ANSWERS, reverse(ANSWERS, args=[pattern.slug]) + "#queries"


def standing_for(standing: Standing, person: Person | AnonymousUser) -> Standing:
    """The standing with an act that this person can do.

    Who may not publish, or is not asked, reads the pattern instead.
    """
    if (standing.page == ANSWERS or standing.is_designers) and not is_designer(person):
        return Standing(standing.state, READ, ANSWERS)
    if standing.act not in (PUBLISH_TEST, SEND_NOTICE) or may_publish(person):
        return standing
    return Standing(standing.state, READ, ANSWERS)


def led_by(tasks: Iterable[Task], standing: Standing) -> Standing:
    """The standing, with a signature that is asked of who looks as what to do next."""
    asked = next((task for task in tasks if task.is_asked), None)
    return replace(standing, act=asked.button, address=asked.address) if asked else standing


def _state(pattern: Any) -> str:
    """The state in a word."""
    if pattern.is_released:
        return "published"
    return "in test" if pattern.is_in_test else "draft"
