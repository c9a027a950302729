"""A call as its testers would see it, before it is opened: nothing is stored, and nothing can be sent."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.studio.roles import studio_required
from testing.access.requests import call_or_404
from testing.applications.garments import Garment
from testing.applications.views import application_form, asked_in
from testing.asked.figures import call_figures
from testing.asked.questions import questions_of


@require_safe
@studio_required
def call_as_testers(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """The page of a call, the form of applying and the questions, all inert."""
    call = call_or_404(request, slug, pk)
    figures, units = call_figures(call), asked_in(request)
    form = application_form(request, call, data=None)
    form.helper.form_tag, form.helper.disable_csrf = False, True
    asked = [(one.label, one.how and figures.words(one.how, units)) for one in questions_of(figures)]
    garment = Garment(figures, units)
    page = {"call": call, "figures": figures, "garment": garment, "form": form, "asked": asked}
    page["is_preview"] = (
        True  # the table of sizes stands before the form: in one that is off it can't be scrolled
    )
    return render(request, "testing/as_testers.html", page)
