"""The words of the e-mails that calls send."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required
from testing.access.requests import sent
from testing.mails.forms import MailTextForm
from testing.mails.mails import MailWording, keep_wording, wording_of, written
from testing.mails.texts import EXAMPLE, KINDS, MailKind
from testing.models import MailText


@require_safe
@designer_required
def mail_texts(request: HttpRequest) -> HttpResponse:
    """Every kind of e-mail, when it goes out and whether it was rewritten."""
    own = set(MailText.objects.values_list("kind", flat=True))
    rows = [(kind, kind.key in own) for kind in KINDS.values()]
    return render(request, "testing/mail_texts.html", {"pattern": None, "rows": rows})


@form_page
@designer_required
def mail_text(request: HttpRequest, kind: str) -> HttpResponse:
    """Write an e-mail in one's own words."""
    found = kind_or_404(kind)
    form = _form(request, found)
    if request.method == "POST" and form.is_valid():
        keep_wording(kind=found, words=form.words())
        messages.success(request, f"“{found.label}” goes out in these words from now on.")
        return redirect("mail_texts")
    return _page(request, found, form, None if form.errors else wording_of(found))


@require_POST
@designer_required
def mail_text_preview(request: HttpRequest, kind: str) -> HttpResponse:
    """Show how what was typed would read; nothing is kept yet."""
    found = kind_or_404(kind)
    form = _form(request, found)
    words = form.words() or MailWording(found.subject, found.text) if form.is_valid() else None
    return _page(request, found, form, words)


def _form(request: HttpRequest, kind: MailKind) -> MailTextForm:
    """The form with what was typed, or with the words in use."""
    return MailTextForm(
        sent(request),
        kind=kind,
        preview=reverse("mail_text_preview", args=[kind.key]),
        initial=vars(wording_of(kind)),
    )


def _page(
    request: HttpRequest, kind: MailKind, form: MailTextForm, words: MailWording | None
) -> HttpResponse:
    """The form beside the e-mail as it would go out to an invented tester."""
    form.helper.form_action = reverse("mail_text", args=[kind.key])
    shown = written(words, EXAMPLE) if words else None
    page = {"pattern": None, "kind": kind, "form": form, "shown": shown}
    return render(request, "testing/mail_text.html", page)


def kind_or_404(key: str) -> MailKind:
    """A kind of e-mail."""
    if key not in KINDS:
        raise Http404
    return KINDS[key]
