"""The form by which something that testers found becomes an erratum."""

from collections.abc import Callable, Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from catalogue.errata.errata import ErratumRefused
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, Seen, written_glance
from testing.models import TestCall
from testing.verdicts.forms import CorrectionForm


def is_filed(
    request: HttpRequest, form: CorrectionForm, file: Callable[..., object], moved: list[EntryChange]
) -> bool:
    """File the erratum; a refusal is told at the form, and what changed since it was opened is listed."""
    try:
        file(correction=form.correction(), seen=form.cleaned_data["seen"])
    except Moved as other:
        moved += other.entries
        return False
    except ErratumRefused as refused:
        form.add_error(None, str(refused))
        return False
    messages.success(request, "The erratum is added: see “Versions and errata”.")
    return True


def erratum_page(
    request: HttpRequest,
    call: TestCall,
    form: CorrectionForm,
    source: str,
    seen: Seen,
    moved: Sequence[EntryChange],
) -> HttpResponse:
    """Show the form beside what the erratum comes from; what was typed wrongly belongs to what was seen."""
    if moved or not form.is_bound:
        form.carry(written_glance(seen))
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "form": form,
        "source": source,
        "moved": moved,
    }
    return render(request, "testing/erratum.html", page, status=409 if moved else 200)
