"""The stored catalogue."""

from catalogue.models.checked_rows import CheckedRow
from catalogue.models.chores import ErasureMark, FailedChore, SeenClock, UnsweptErasure
from catalogue.models.count_reasons import CountReason
from catalogue.models.errata import Erratum, ErratumEvent, ErratumSighting, Guard
from catalogue.models.frozen_work import FrozenWork
from catalogue.models.helps import FrozenHelp, Help, HelpLinkChange, HelpPicture
from catalogue.models.holders import Holder, Notice, NoticeMail
from catalogue.models.letters import Letter
from catalogue.models.listings import Listing, ListingChoice, ListingMark
from catalogue.models.pattern_editors import PatternAccess, SignatureRequest
from catalogue.models.patterns import Pattern, PatternEdit, Section, Step
from catalogue.models.people import Invitation, Person, SignIn, Studio
from catalogue.models.photos import FrozenPhoto, Photo
from catalogue.models.practice import PracticeChoice
from catalogue.models.questions import MakerQuestion
from catalogue.models.selling import (
    RightsNote,
    SellingFacts,
    ShopLink,
    SupportPromise,
    TargetDate,
    YarnSupport,
)
from catalogue.models.special_stitches import SpecialStitch, StitchPicture, StitchState
from catalogue.models.swatches import Swatch
from catalogue.models.tallies import Tally
from catalogue.models.technical_edits import EditQuery, ReadCell, TechnicalEdit, WordsDraft
from catalogue.models.versions import Edition, Version
from catalogue.models.yarns import PatternYarn, ToolLengthList, Yarn, YarnShade

__all__ = [
    "CheckedRow",
    "CountReason",
    "EditQuery",
    "Edition",
    "ErasureMark",
    "Erratum",
    "ErratumEvent",
    "ErratumSighting",
    "FailedChore",
    "FrozenHelp",
    "FrozenPhoto",
    "FrozenWork",
    "Guard",
    "Help",
    "HelpLinkChange",
    "HelpPicture",
    "Holder",
    "Invitation",
    "Letter",
    "Listing",
    "ListingChoice",
    "ListingMark",
    "MakerQuestion",
    "Notice",
    "NoticeMail",
    "Pattern",
    "PatternAccess",
    "PatternEdit",
    "PatternYarn",
    "Person",
    "Photo",
    "PracticeChoice",
    "ReadCell",
    "RightsNote",
    "Section",
    "SeenClock",
    "SellingFacts",
    "ShopLink",
    "SignIn",
    "SignatureRequest",
    "SpecialStitch",
    "Step",
    "StitchPicture",
    "StitchState",
    "Studio",
    "SupportPromise",
    "Swatch",
    "Tally",
    "TargetDate",
    "TechnicalEdit",
    "ToolLengthList",
    "UnsweptErasure",
    "Version",
    "WordsDraft",
    "Yarn",
    "YarnShade",
    "YarnSupport",
]
