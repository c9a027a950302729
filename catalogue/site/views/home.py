"""Where everybody begins."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from catalogue.models import Studio
from catalogue.studio.roles import is_on_desk


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Send everybody to where they begin: the desk, the tester's own page or the catalogue."""
    if is_on_desk(request.user):
        return redirect("desk")
    if request.user.is_authenticated:
        return redirect("my_making")
    if Studio.objects.exists():
        return redirect("catalogue")
    return render(request, "site/empty.html")
