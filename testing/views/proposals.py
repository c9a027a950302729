"""Proposing places, changing the proposal, sending the offers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.roles import designer_required
from testing.forms.proposals import ProposalForm
from testing.models import TestCall
from testing.places import PlaceRefused
from testing.proposals import Proposal, propose_places, send_offers
from testing.views.requests import call_or_404


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
        sent = send_offers(call=call, chosen=form.chosen())
    except PlaceRefused as refused:
        messages.error(request, f"Nothing was sent. {refused}")
        return _page(request, call, propose_places(call, form.chosen()))
    messages.success(request, f"{sent} offer{'' if sent == 1 else 's'} on the way; everybody else waits.")
    return redirect("call", slug=slug, pk=pk)


def _page(request: HttpRequest, call: TestCall, found: Proposal) -> HttpResponse:
    """The proposal as a list to change."""
    sizes = [quota.size for quota in call.quotas.all()]
    page = {"pattern": call.pattern, "tab": "calls", "call": call, "proposal": found, "sizes": sizes}
    return render(request, "testing/proposal.html", page)
