"""What every template may use."""

from django.http import HttpRequest

from catalogue.models import Studio
from catalogue.studio.mail_folder import lands_in_folder
from catalogue.studio.roles import is_designer, is_editor, is_on_desk, is_pattern_editor

# Parts of the main navigation, each with how the addresses of its pages begin; the first that fits counts.
PARTS = (
    ("patterns", ("/desk",)),
    ("testers", ("/studio/testers/",)),
    ("holders", ("/studio/holders", "/studio/notices/", "/studio/returned-mails/")),
    ("studio", ("/studio/", "/running/")),
    ("account", ("/account/",)),
    ("guide", ("/guide/",)),
)


def part_of(path: str) -> str:
    """The part of the main navigation that an address belongs to; none for visitors' pages."""
    return next((part for part, begins in PARTS if path.startswith(begins)), "")


def studio(request: HttpRequest) -> dict[str, object]:
    """The studio and the person's standing in it."""
    person = getattr(request, "user", None)
    return {
        "studio": request.studio if hasattr(request, "studio") else Studio.objects.first(),
        "is_designer": person is not None and is_designer(person),
        "is_editor": person is not None and is_editor(person),
        "is_studio": person is not None and is_on_desk(person),
        "mails_land_in_folder": lands_in_folder(),
        "nav_part": part_of(request.path),
        "is_pattern_editor": person is not None and is_pattern_editor(person),
    }
