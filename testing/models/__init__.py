"""The stored test calls."""

from testing.models.assessment import Assessment, Reading
from testing.models.calls import PlaceQuota, TestCall
from testing.models.mails import MailText, SentMail
from testing.models.people import TesterNote
from testing.models.places import Application, Placement
from testing.models.results import EarlierEntry, Entry, PhotoPiece, Remark, Result, ResultPhoto

__all__ = [
    "Application",
    "Assessment",
    "EarlierEntry",
    "Entry",
    "MailText",
    "PhotoPiece",
    "PlaceQuota",
    "Placement",
    "Reading",
    "Remark",
    "Result",
    "ResultPhoto",
    "SentMail",
    "TestCall",
    "TesterNote",
]
