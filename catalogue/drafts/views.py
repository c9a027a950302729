"""The desk: all patterns, what is to be done next in each, and the overview of one."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.at_a_glance import glance_facts
from catalogue.drafts.beginning_views import stored_slug
from catalogue.drafts.documents import document_text
from catalogue.drafts.drafts import open_draft
from catalogue.drafts.finding_spots import linked_findings
from catalogue.drafts.forms import LoadForm
from catalogue.drafts.patterns import patterns_for
from catalogue.drafts.saving import save
from catalogue.drafts.standing import (
    LIFE,
    DeskLine,
    act_page,
    drafted_notices,
    led_by,
    standing_for,
    standing_of,
    with_standing,
)
from catalogue.drafts.tasks import notices_to_send, overdue_dates, questions_to_answer
from catalogue.drafts.yarn_ends import yarn_ends
from catalogue.models import FailedChore
from catalogue.studio.letters import letters_in_state
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import (
    desk_required,
    is_designer,
    is_editor,
    is_pattern_editor,
    may_publish,
    studio_required,
)
from grading.entries.facts_forms import FactsForm


@desk_required
@require_safe
def desk(request: HttpRequest) -> HttpResponse:
    """The patterns of the studio, each with the one thing to do next."""
    return _desk_page(request, LoadForm())


@studio_required
@require_POST
def desk_load(request: HttpRequest) -> HttpResponse:
    """Load a pattern file as a draft."""
    form = LoadForm(request.POST, request.FILES)
    if form.is_valid():
        replace = form.cleaned_data["replace"]
        slug = stored_slug(request, form, "file", lambda: form.cleaned_data["file"], replace=replace)
        if slug:
            return redirect("desk_pattern", slug)
    return _desk_page(request, form, status=400)


def _desk_page(request: HttpRequest, load: LoadForm, status: int = 200) -> HttpResponse:
    """The page of the desk."""
    found, reader = with_standing(patterns_for(request.user)).prefetch_related("photos"), person_of(request)
    # Who is let in to some patterns alone has nothing to do with their testers.
    waiting = {} if is_pattern_editor(request.user) else import_string(settings.PEOPLE_WAITING)(found)
    editing = import_string(settings.EDITORS_WORK)(found, reader if is_editor(request.user) else None)
    notices = drafted_notices(found) if may_publish(request.user) else {}
    patterns = [
        DeskLine(
            pattern,
            led_by(editing[pattern.pk].tasks, standing_for(standing_of(pattern), request.user)),
            [*editing[pattern.pk].notes, *(one.says for one in waiting.get(pattern.pk, ()))],
            notices.get(pattern.pk, []),
        )
        for pattern in found
    ]
    by_life = sorted(patterns, key=lambda line: LIFE.index(line.standing.state))
    works = [editing[line.pattern.pk] for line in by_life]
    tasks = [task for work in works for task in work.tasks]
    if is_designer(request.user):
        tasks += [task for work in works for task in work.to_answer]
        tasks += [task for people in waiting.values() for one in people for task in one.tasks]
        tasks += overdue_dates(found)
        tasks += questions_to_answer(found)
    tasks += [
        task
        for line in by_life
        if line.pattern.has_notice_to_send
        for task in notices_to_send(line.pattern, line.notices)
    ]
    context = {
        "patterns": patterns,
        "for_you": sorted((task for task in tasks if not task.is_unread), key=lambda task: task.urgency),
        "unread": [
            task
            for line in by_life
            if line.is_to_read
            for task in editing[line.pattern.pk].tasks
            if task.is_unread
        ],
        "life": LIFE,
        "load": load,
        "pattern": None,
    }
    if is_designer(request.user):
        context |= {"failed_letters": letters_in_state("failed").count(), "failed": FailedChore.objects.all()}
    return render(request, "catalogue/desk.html", context, status=status)


@studio_required
@require_safe
def desk_pattern(request: HttpRequest, slug: str) -> HttpResponse:
    """The overview of a pattern: facts, findings, where to go on."""
    draft = open_draft(request.user, slug)
    standing = standing_for(
        standing_of(with_standing(patterns_for(request.user)).get(pk=draft.pattern.pk)), request.user
    )
    document, reader = draft.document, person_of(request) if is_editor(request.user) else None
    editing = import_string(settings.EDITORS_WORK)([draft.pattern], reader)
    # As on the desk: who is let in to some patterns alone has nothing to do with their testers.
    people = (
        {} if is_pattern_editor(request.user) else import_string(settings.PEOPLE_WAITING)([draft.pattern])
    )
    edits = draft.pattern.edits.select_related("by")[:10]
    context = {
        "pattern": draft.pattern,
        "tab": "",
        "editing": editing[draft.pattern.pk].notes,
        "tasks": [task for task in editing[draft.pattern.pk].tasks if task.is_asked or task.is_unread],
        "photo": draft.pattern.photos.first(),
        "is_drawn": bool(document.get("pieces")),
        "standing": standing,
        "act_page": act_page(standing, slug),
        "notices": drafted_notices([draft.pattern]).get(draft.pattern.pk, [])
        if may_publish(request.user)
        else [],
        "life": LIFE,
        "facts": {
            key: document.get(key, "")
            for key in ("summary", "skill", "construction", "craft", "home_units", "home_terms", "wearer")
        },
        "glance": glance_facts(
            draft,
            [one.says for found in people.values() for one in found],
            sees_holders=may_publish(request.user),
        ),
        "hazards": document.get("hazards", []),
        "sizes": document["sizes"],
        "size_groups": document.get("size_groups", []),
        "findings": linked_findings(slug, document, draft.findings),
        "yarn_ends": yarn_ends(draft.pattern, document),
        "edits": [one for one in edits if not one.undone],
        "undone_edits": [one for one in edits if one.undone],
    }
    return render(request, "catalogue/desk_pattern.html", context)


@studio_required
@form_page
def facts(request: HttpRequest, slug: str) -> HttpResponse:
    """Edit title, summary, wearer, hazards and the other facts."""
    draft = open_draft(request.user, slug)
    form = FactsForm(request.POST or None, document=draft.document, revision=draft.revision)
    back = reverse("desk_pattern", args=[slug])
    context = {"pattern": draft.pattern, "tab": "", "form": form, "heading": "Facts", "back": back,
               "sizes": draft.document["sizes"], "their_edits": []}  # fmt: skip
    if form.is_bound and form.is_valid():
        return save(request, draft, form, "catalogue/sheet_form.html", context, back)
    return render(request, "catalogue/sheet_form.html", context)


@studio_required
@require_safe
def pattern_file(request: HttpRequest, slug: str) -> HttpResponse:
    """The draft as a pattern file, as it was typed."""
    draft = open_draft(request.user, slug)
    headers = {"Content-Disposition": f'attachment; filename="{slug}.json"'}
    return HttpResponse(document_text(draft.document), content_type="application/json", headers=headers)
