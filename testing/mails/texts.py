"""The words of the e-mails that a call sends, and what may stand in them; pure.

`{name}` and the like stand for what is known of a tester; there is none for measurements, on purpose.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

FIELD = re.compile(r"\{([^{}]*)\}")
EXAMPLE = {
    "name": "Wren",
    "title": "Fernhollow Vest",
    "size": "M",
    "date": "3 June 2027",
    "erased": "3 June 2028",
    "what": "the start",
    "url": "https://studio.example/making/",
    "studio": "Larkmoss Studio",
}


@dataclass(frozen=True)
class MailKind:
    """A kind of e-mail: when it goes out, its usual words and the fields that it knows."""

    key: str
    label: str
    when: str
    subject: str
    text: str
    fields: tuple[str, ...]


_COMMON = ("name", "title", "size", "url", "studio")
KINDS = {
    kind.key: kind
    for kind in (
        MailKind(
            "offer",
            "A place is offered",
            "As soon as you send the offers, and when somebody comes up from the waiting list.",
            "A place for you: {title}, size {size}",
            "Hello {name},\n\nwe would be glad if you made {title} for us in size {size}. "
            "Everything about it, "
            "dates and yarn too, is on this page, where you can take the place or decline:\n\n{url}\n\n"
            "Please answer by {date}. After that the place goes to somebody else.",
            (*_COMMON, "date"),
        ),
        MailKind(
            "reminder",
            "A date comes near",
            "Seven and two days before the start, the middle and the finish, until a tester is done.",
            "{title}: {what} is on {date}",
            "Hello {name},\n\na short note that {what} of {title} in size {size} is on {date}. "
            "Your test copy and "
            "everything you have sent so far are here:\n\n{url}\n\nIf the date is too tight, ask "
            "for more time "
            "on the same page.",
            (*_COMMON, "date", "what"),
        ),
        MailKind(
            "dates",
            "Other dates",
            "When you change the dates of a call, to everybody who is making it; and when you give a tester "
            "a later day unasked.",
            "{title}: new dates",
            "Hello {name},\n\nthe dates of {title} in size {size} have changed: your last day is {date} now. "
            "All dates, for your calendar too, are here:\n\n{url}",
            (*_COMMON, "date"),
        ),
        MailKind(
            "more_time",
            "More time",
            "When you give a tester who asked for more time another last day.",
            "{title}: your last day is {date} now",
            "Hello {name},\n\nyou asked for more time for {title} in size {size}: your last day is {date} "
            "now. All dates, for your calendar too, are here:\n\n{url}",
            (*_COMMON, "date"),
        ),
        MailKind(
            "late",
            "Late",
            "Once, when the last day and the days of grace are over.",
            "{title}: how far are you?",
            "Hello {name},\n\nyour results for {title} in size {size} were due on {date}, and some are still "
            "missing. Send what you have, even if it is not all, or ask for more time:\n\n{url}\n\n"
            "If you can't go on, give the place back there; nobody minds.",
            (*_COMMON, "date"),
        ),
        MailKind(
            "thanks",
            "Thanks",
            "When a tester says that they are done.",
            "Thank you for {title}",
            "Hello {name},\n\nthank you for making {title} in size {size}. What you sent helps "
            "everybody who makes "
            "it after you. Should you find something else, there is still room for it:\n\n{url}",
            _COMMON,
        ),
        MailKind(
            "replaced",
            "A place is taken back",
            "When you give a tester’s place to somebody else, to the tester who had it.",
            "{title}: your place has ended",
            "Hello {name},\n\nwe have not heard from you about {title} in size {size}. So your place has "
            "ended today, and another tester can have it. That happens, and we don’t mind.\n\nYou need "
            "do nothing. Your questions, your test copy and the reminders have gone. What you "
            "sent is kept: photos, notes, remarks and how it fits until {erased}, the garment’s own figures "
            "after that too, without your name.\n\n"
            "You are welcome to apply for another test:\n\n{url}",
            (*_COMMON, "erased"),
        ),
        MailKind(
            "given_back",
            "A tester gives the place back",
            "When a tester gives their place back, to that tester.",
            "{title}: your place is given back",
            "Hello {name},\n\nyou have given back your place for {title} in size {size}. That happens, and "
            "it is good that you say so. Thank you for what you did.\n\nYour questions, your test copy and "
            "the reminders have gone. What you sent counts for the pattern. Photos, notes, remarks and how "
            "it fits are erased on {erased}. The garment’s own figures stay, without your name.\n\n"
            "You can take your place back until {date}, even if somebody else has been "
            "offered it meanwhile:\n\n{url}",
            (*_COMMON, "date", "erased"),
        ),
        MailKind(
            "closed",
            "The call is over",
            "When you end a call, to everybody who tested or waited.",
            "{title}: the test is over",
            "Hello {name},\n\nthe test of {title} is over. Thank you for your time and your "
            "interest. What we hold "
            "about you, and how to erase it, is written here:\n\n{url}",
            ("name", "title", "url", "studio"),
        ),
        MailKind(
            "ask_again",
            "Asked again",
            "When you ask somebody who tested before whether they would like to apply for another call.",
            "Would you make {title}?",
            "Hello {name},\n\nyou made a garment for us before and said that we may ask again. We "
            "are looking for "
            "makers of {title}; here is what it is about, and where to apply by {date}:\n\n{url}",
            ("name", "title", "date", "url", "studio"),
        ),
    )
}


def filled(words: str, values: Mapping[str, str]) -> str:
    """Put what is known in the place of the fields, once: a name never becomes a field."""
    return FIELD.sub(lambda found: values.get(found[1], found[0]), words)


def trouble_with(words: str, kind: MailKind) -> str:
    """Say what is wrong with the fields in somebody's own words; empty when nothing is."""
    known = ", ".join(f"{{{name}}}" for name in kind.fields)
    for name in FIELD.findall(words):
        if name not in kind.fields:
            return f"There is no {{{name}}} in this e-mail; you can use {known}."
    if re.search(r"[{}]", FIELD.sub("", words)):
        return f"A curly bracket has no partner; a field looks like {{name}}. You can use {known}."
    return ""
