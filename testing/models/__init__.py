"""The stored test calls."""

from testing.models.calls import PlaceQuota, TestCall
from testing.models.mails import MailText, SentMail
from testing.models.people import TesterNote
from testing.models.places import Application, Placement
from testing.models.results import Entry, Remark, Result, ResultPhoto

__all__ = [
    "Application",
    "Entry",
    "MailText",
    "PlaceQuota",
    "Placement",
    "Remark",
    "Result",
    "ResultPhoto",
    "SentMail",
    "TestCall",
    "TesterNote",
]
