"""Pages that show what an entry gives while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from catalogue.drafts.drafts import open_draft
from catalogue.drawings.entry_pictures import picture_of
from catalogue.drawings.views import home_edition
from catalogue.materials.yarns import chosen_shades
from catalogue.sheets.entry_views import entry_form, preview_context
from catalogue.studio.roles import studio_required


@studio_required
@require_POST
def entry_picture(request: HttpRequest, slug: str, part: str, place: int | None = None) -> HttpResponse:
    """Draw an entry as typed and say how it prints, and what saving would change; nothing is stored."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, place)
    form = entry_form(request, draft, part, place)
    form.is_valid()
    context = preview_context(request, draft, form)
    if form.graded is not None:
        context["picture"] = picture_of(
            part, form.new_name, form.graded, home_edition(request, draft), chosen_shades(draft.pattern)
        )
    return render(request, "catalogue/schematics/picture.html", {"picture": None, **context})
