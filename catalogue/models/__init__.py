"""The stored catalogue."""

from catalogue.models.errata import Erratum, ErratumSighting
from catalogue.models.patterns import Pattern, PatternEdit, Section, Step
from catalogue.models.people import Invitation, Person, Studio
from catalogue.models.photos import Photo
from catalogue.models.versions import Edition, Version
from catalogue.models.yarns import PatternYarn, Yarn, YarnShade

__all__ = [
    "Edition",
    "Erratum",
    "ErratumSighting",
    "Invitation",
    "Pattern",
    "PatternEdit",
    "PatternYarn",
    "Person",
    "Photo",
    "Section",
    "Step",
    "Studio",
    "Version",
    "Yarn",
    "YarnShade",
]
