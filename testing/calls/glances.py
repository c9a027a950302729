"""What is seen of calls and places while somebody decides about them."""

from catalogue.versions.glances import Seen, paragraphs
from testing.access.selectors import result_of, told_of_the_end
from testing.calls.consent import agreement_text, written_day
from testing.calls.schedule import finish_day
from testing.models import Application, Placement, TestCall


def call_glance(call: TestCall, handed_out: str) -> Seen:
    """All that a call says before it is opened, and the version that testers will get."""
    return {
        "Invitation": call.invitation,
        "What a tester sends in": call.must_send,
        "What a tester gets": call.in_return,
        "Rules": call.rules,
        "Yarn": call.yarn_in_words,
        "Hours to reckon with": call.hours_in_words,
        "Body measurements asked": ", ".join(call.measurements),
        **dates_glance(call),
        "Personal data is erased on": written_day(call.erase_on),
        "Places of size": {one.size: f"{one.at_least} to {one.at_most}" for one in call.quotas.all()},
        "Test version": handed_out,
    }


def dates_glance(call: TestCall) -> dict[str, str | int]:
    """The dates of a call, how long an offer holds, and when somebody is late."""
    return {
        "Apply by": written_day(call.apply_by),
        "Start": written_day(call.starts_on),
        "Midway": written_day(call.midway_on),
        "Finish": written_day(call.finish_by),
        "Days to answer an offer": call.offer_days,
        "Days of grace": call.grace_days,
    }


def ending_glance(call: TestCall) -> Seen:
    """Who will be told that a call has ended, and how far each is."""
    told = told_of_the_end(call)
    testers = told.exclude(state__in=Application.PROPOSED)
    return {
        "Tester": {str(one.pk): f"{one.name}, {one.get_state_display()}" for one in testers},
        "Applicants without a place": told.filter(state__in=Application.PROPOSED).count(),
    }


def agreement_glance(placement: Placement) -> Seen:
    """What somebody agrees to together with a place."""
    text = agreement_text(placement.call, placement.size)
    return {"What you agree to": paragraphs(text)}


def application_glance(application: Application) -> Seen:
    """How it stands with somebody who applied."""
    return {application.name: application.get_state_display()}


def dropout_glance(placement: Placement) -> Seen:
    """What a tester sees of their place when they give it back."""
    result = result_of(placement)
    return {
        "Last day": written_day(finish_day(placement)),
        "Done": "yes" if result and result.done_at else "no",
    }


def place_glance(placement: Placement) -> Seen:
    """How far the tester of a place is, as the designer sees it who frees the place."""
    result = result_of(placement)
    sent = {
        kind: len(getattr(result, kind).all()) if result else 0 for kind in ("entries", "photos", "remarks")
    }
    return {
        "Tester": placement.application.name,
        "Place": "taken" if placement.accepted_at else "offered",
        "Answers sent": sent["entries"],
        "Photos sent": sent["photos"],
        "Remarks sent": sent["remarks"],
        "Asks for time until": written_day(placement.asks_until) if placement.asks_until else "",
        **dropout_glance(placement),
    }
