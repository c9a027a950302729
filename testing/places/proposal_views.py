"""Proposing places, changing the proposal, sending the offers."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.roles import designer_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import call_or_404
from testing.models import TestCall
from testing.places.places import PlaceRefused
from testing.places.proposal_forms import ProposalForm
from testing.places.proposals import Proposal, proposal_glance, propose_places, send_offers


@require_safe
@designer_required
def proposal(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Who would get which size, and why."""
    call = call_or_404(slug, pk)
    return _page(request, call, propose_places(call))


@require_POST
@designer_required
def proposal_again(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Propose anew around the sizes that the designer keeps; nothing is stored yet."""
    call = call_or_404(slug, pk)
    form = ProposalForm(request.POST, call=call)
    return _page(request, call, propose_places(call, form.kept()))


@require_POST
@designer_required
def proposal_send(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Send the offers as the list stands."""
    call = call_or_404(slug, pk)
    form = ProposalForm(request.POST, call=call)
    try:
        sent = send_offers(call=call, chosen=form.chosen(), seen=sent_glance(request))
    except Moved as moved:
        call = call_or_404(slug, pk)
        return _page(request, call, _as_typed(call, form), moved.entries)
    except PlaceRefused as refused:
        messages.error(request, f"Nothing was sent. {refused}")
        return _page(request, call, _as_typed(call, form))
    messages.success(request, f"{sent} offer{'' if sent == 1 else 's'} on the way; everybody else waits.")
    return redirect("call", slug=slug, pk=pk)


def _as_typed(call: TestCall, form: ProposalForm) -> Proposal:
    """The proposal around all that was chosen by hand; who would have no place anyway was not."""
    placed = {row.application.pk for row in propose_places(call).rows if row.size}
    pins = {pk: size for pk, size in form.typed().items() if size or pk in placed}
    return propose_places(call, pins)


def _page(
    request: HttpRequest, call: TestCall, found: Proposal, moved: Sequence[EntryChange] = ()
) -> HttpResponse:
    """The proposal as a list to change; it carries what is proposed before anything is chosen by hand."""
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "proposal": found,
        "sizes": [quota.size for quota in call.quotas.all()],
        "seen": written_glance(proposal_glance(found if request.method == "GET" else propose_places(call))),
        "moved": moved,
    }
    return render(request, "testing/proposal.html", page, status=409 if moved else 200)
