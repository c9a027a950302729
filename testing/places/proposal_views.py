"""Proposing places, changing the proposal, sending the offers."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.roles import designer_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import SignedInRequest, call_or_404
from testing.asked.bodies import size_bodies
from testing.asked.figures import call_figures
from testing.calls.consent import written_day
from testing.models import TestCall
from testing.places.places import PlaceRefused
from testing.places.proposal_forms import ProposalForm
from testing.places.proposal_notes import empty_sizes, is_early, noted_rows
from testing.places.proposals import Proposal, proposal_glance, propose_places, send_offers


@require_safe
@designer_required
def proposal(request: SignedInRequest, slug: str, pk: int) -> HttpResponse:
    """Who would get which size, and why."""
    call = call_or_404(request, slug, pk)
    return _page(request, call, propose_places(call))


@require_POST
@designer_required
def proposal_again(request: SignedInRequest, slug: str, pk: int) -> HttpResponse:
    """Propose anew around the sizes that the designer keeps; nothing is stored yet."""
    call = call_or_404(request, slug, pk)
    form = ProposalForm(request.POST, call=call)
    return _page(request, call, propose_places(call, form.kept()))


@require_POST
@designer_required
def proposal_send(request: SignedInRequest, slug: str, pk: int) -> HttpResponse:
    """Send the offers as the list stands."""
    call = call_or_404(request, slug, pk)
    form = ProposalForm(request.POST, call=call)
    if is_early(call) and "early" not in request.POST:
        told = f"People may apply until {written_day(call.apply_by)}: tick that you send the offers before."
        messages.error(request, f"Nothing was sent. {told}")
        return _page(request, call, _as_typed(call, form))
    try:
        sent = send_offers(call=call, chosen=form.chosen(), seen=sent_glance(request))
    except Moved as moved:
        call = call_or_404(request, slug, pk)
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
    request: SignedInRequest, call: TestCall, found: Proposal, moved: Sequence[EntryChange] = ()
) -> HttpResponse:
    """The proposal as a list to change; it carries what is proposed before anything is chosen by hand."""
    quotas, bodies = list(call.quotas.all()), size_bodies(call, call_figures(call))
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "proposal": found,
        "rows": noted_rows(found, bodies, quotas, request.user.units),
        "empty": empty_sizes(found, quotas),
        "is_early": is_early(call),
        "sizes": [quota.size for quota in quotas],
        "seen": written_glance(proposal_glance(found if request.method == "GET" else propose_places(call))),
        "moved": moved,
    }
    return render(request, "testing/proposal.html", page, status=409 if moved else 200)
