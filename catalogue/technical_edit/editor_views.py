"""Who may see a pattern and sign it: let in, sent away, asked for a signature."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.requests import pattern_or_404
from catalogue.studio.forgetting import end_rows
from catalogue.studio.pattern_editors import (
    accesses_of,
    editors_for,
    give_access,
    invited_editors,
    invited_to,
    take_access,
)
from catalogue.studio.people import PersonRefused, staff, withdraw_invitation
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import designer_required, is_designer
from catalogue.technical_edit.forms import AccessForm, SignatureForm
from catalogue.technical_edit.signature_requests import NotAsked, ask_signature, asked_signatures

TAB = "versions"


@form_page
@designer_required
def pattern_editors(request: HttpRequest, slug: str) -> HttpResponse:
    """Who sees a pattern; and a form that lets one more editor in."""
    pattern, form = pattern_or_404(request, slug), AccessForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            done = give_access(pattern=pattern, email=form.cleaned_data["email"], by=person_of(request))
        except PersonRefused as refused:
            form.add_error("email", str(refused))
        else:
            messages.success(request, done)
            return redirect("pattern_editors", slug=slug)
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "whole": [(one, is_designer(one)) for one in staff()],
        "accesses": accesses_of(pattern),
        "invitations": invited_to(pattern),
    }
    return render(request, "catalogue/technical_edit/editors.html", page, status=422 if form.errors else 200)


@require_POST
@designer_required
def pattern_editor_take(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a pattern away from an editor."""
    access = get_object_or_404(accesses_of(pattern_or_404(request, slug)), pk=pk)
    take_access(access=access)
    messages.success(request, f"{access.person} can no longer open this pattern.")
    return redirect("pattern_editors", slug=slug)


@require_POST
@designer_required
def pattern_invitation_withdraw(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Make an invitation to a pattern useless."""
    invitation = get_object_or_404(invited_to(pattern_or_404(request, slug)), pk=pk)
    withdraw_invitation(invitation=invitation)
    messages.success(request, "The invitation is withdrawn.")
    return redirect("pattern_editors", slug=slug)


@form_page
@designer_required
def signature_ask(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask a named editor to check and sign the pattern as it stands."""
    pattern = pattern_or_404(request, slug)
    form = SignatureForm(request.POST or None, editors=editors_for(pattern))
    if request.method == "POST" and form.is_valid():
        editor = form.chosen()
        asked = {name: form.cleaned_data[name] for name in ("note", "due_on")}
        try:
            ask_signature(pattern=pattern, editor=editor, by=person_of(request), **asked)
        except NotAsked as refused:
            form.add_error("editor", str(refused))
        else:
            messages.success(request, f"{editor} is asked by e-mail to check and sign.")
            return redirect(f"{reverse('technical_edit', args=[slug])}#asked")
    page = {"pattern": pattern, "tab": TAB, "form": form, "invited": invited_editors(pattern)}
    return render(
        request, "catalogue/technical_edit/ask_signature.html", page, status=422 if form.errors else 200
    )


@require_POST
@designer_required
def signature_withdraw(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """No longer wait for a signature."""
    asked = get_object_or_404(asked_signatures(pattern_or_404(request, slug)), pk=pk)
    end_rows([asked])
    messages.success(request, f"{asked.editor} is no longer asked to sign.")
    return redirect(f"{reverse('technical_edit', args=[slug])}#asked")
