"""What every template may use."""

from django.http import HttpRequest

from catalogue.models import Studio
from catalogue.studio.mail_folder import lands_in_folder
from catalogue.studio.roles import is_designer, is_editor, is_on_desk, is_pattern_editor


def studio(request: HttpRequest) -> dict[str, object]:
    """The studio and the person's standing in it."""
    person = getattr(request, "user", None)
    return {
        "studio": request.studio if hasattr(request, "studio") else Studio.objects.first(),
        "is_designer": person is not None and is_designer(person),
        "is_editor": person is not None and is_editor(person),
        "is_studio": person is not None and is_on_desk(person),
        "mails_land_in_folder": lands_in_folder(),
        "is_pattern_editor": person is not None and is_pattern_editor(person),
    }
