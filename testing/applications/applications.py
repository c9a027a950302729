"""Applying for a place."""

from dataclasses import asdict, dataclass

from django.core import signing
from django.db import IntegrityError, transaction
from django.utils import timezone

from catalogue.models import Studio
from catalogue.studio.limits import JUST_NOW
from catalogue.studio.mailing import send_mail
from catalogue.versions.glances import Seen, check_glance
from testing.access.links import absolute
from testing.access.typed import as_typed
from testing.asked.figures import call_figures
from testing.calls.consent import consent_text
from testing.models import Application, TestCall

_SALT = "testing.application"
CONSENT = "What you agree to"


class ApplicationsClosed(ValueError):
    """The call takes no applications now."""


@dataclass(frozen=True)
class Answers:
    """What an applicant wrote."""

    name: str
    email: str
    units: str
    body_mm: dict[str, float]
    typed_body: dict[str, str]
    sizes: list[str]
    yarn: str
    tool: str
    experience: int
    access_needs: str
    may_ask_again: bool = False


def body_in_words(application: Application) -> list[tuple[str, str]]:
    """What an applicant wrote of their body: each measurement as the form calls it, with its unit."""
    labels = {one.name: one.label for one in call_figures(application.call).body}
    return [
        (labels.get(name, name), as_typed(typed, application.units))
        for name, typed in application.typed_body.items()
    ]


def takes_applications(call: TestCall) -> bool:
    """Whether people may apply today."""
    return call.state == "open" and timezone.localdate() <= call.apply_by


@transaction.atomic
def apply_for_place(*, call: TestCall, answers: Answers, seen: str | None = None) -> None:
    """Store an application; a second one from the same address changes nothing and tells its owner.

    The caller learns nothing of which it was: page, mail and work are alike. The very same answers within
    minutes are a form that was sent twice, and bring no second e-mail.

    Raises:
        ApplicationsClosed: The call takes none now.
        Moved: The consent is not the one that was seen.
    """
    call = TestCall.objects.select_for_update(of=("self",)).select_related("pattern").get(pk=call.pk)
    if not takes_applications(call):
        raise ApplicationsClosed
    consent = consent_glance(call)
    check_glance(seen, consent)
    try:
        with transaction.atomic():
            application = _store(call, answers, str(consent[CONSENT]))
            template = "application_received"
    except IntegrityError:
        application = Application.objects.get(call=call, email=answers.email.lower())
        if _was_sent_just_now(application, answers):
            return
        template = "application_known"
    context = _mail_context(application)
    send_mail(to=application.email, template=template, context=context, about=application)


class ApplicationSettled(ValueError):
    """Places were given, or the application is gone: it can't be changed any more."""


def may_change(application: Application) -> bool:
    """Whether an applicant may still change what they sent: until they are offered a place."""
    running = application.call.state in ("open", "closed") and application.erase_asked_at is None
    return running and application.state in Application.PROPOSED


@transaction.atomic
def change_application(*, application: Application, answers: Answers) -> None:
    """Store what an applicant sent anew; their address and what they agreed to stay.

    Raises:
        ApplicationSettled: It can't be changed any more.
    """
    TestCall.objects.select_for_update().get(pk=application.call_id)
    now = Application.objects.select_related("call").filter(pk=application.pk).first()
    if now is None or not may_change(now):
        raise ApplicationSettled
    changed = {name: of for name, of in asdict(answers).items() if name != "email"}
    Application.objects.filter(pk=now.pk).update(**changed)


def consent_glance(call: TestCall) -> Seen:
    """What somebody agrees to who applies."""
    studio = Studio.objects.first()
    return {CONSENT: consent_text(call, studio.name if studio else "The studio")}


def application_key(application: Application) -> str:
    """The signed key by which an applicant reaches what they sent."""
    return signing.Signer(salt=_SALT).sign_object([application.pk, application.token])


def application_of_key(key: str) -> Application | None:
    """The application that a key was made for, unless altered or erased."""
    try:
        pk, token = signing.Signer(salt=_SALT).unsign_object(key)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    return Application.objects.select_related("call__pattern").filter(pk=pk, token=token).first()


def is_erased(key: str) -> bool:
    """Whether a key was made for an application that is there no more."""
    try:
        pk, _ = signing.Signer(salt=_SALT).unsign_object(key)
    except (signing.BadSignature, ValueError, TypeError):
        return False
    return not Application.objects.filter(pk=pk).exists()


def _store(call: TestCall, answers: Answers, consent: str) -> Application:
    """Write the application together with the consent as it was shown."""
    return Application.objects.create(
        call=call,
        **{**asdict(answers), "email": answers.email.lower()},
        consent_text=consent,
        consented_at=timezone.now(),
    )


def _was_sent_just_now(application: Application, answers: Answers) -> bool:
    """Whether an application came in a moment ago with the very same answers."""
    typed = {**asdict(answers), "email": answers.email.lower()}
    is_new = application.consented_at > timezone.now() - JUST_NOW
    return is_new and all(getattr(application, name) == said for name, said in typed.items())


def _mail_context(application: Application) -> dict[str, object]:
    """What the mails to an applicant say; no measurements."""
    return {
        "name": application.name,
        "title": application.call.pattern.title,
        "apply_by": application.call.apply_by,
        "url": absolute("application", application_key(application)),
    }
