"""Pages of the whole studio."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from catalogue.roles import is_studio


def home(request: HttpRequest) -> HttpResponse:
    """Send everybody to where they begin: the desk, the tester's own page or the catalogue."""
    if is_studio(request.user):
        return redirect("desk")
    if request.user.is_authenticated:
        return redirect("my_making")
    return redirect("catalogue")
