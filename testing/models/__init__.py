"""The stored test calls."""

from testing.models.calls import PlaceQuota, TestCall
from testing.models.places import Application, Placement
from testing.models.results import Entry, Remark, Result, ResultPhoto

__all__ = [
    "Application",
    "Entry",
    "PlaceQuota",
    "Placement",
    "Remark",
    "Result",
    "ResultPhoto",
    "TestCall",
]
