"""Corrections that are known already when somebody signs up for those of their version."""

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from catalogue.errata.errata import errata_of_version
from catalogue.models import Version


def known_for_page(version: Version) -> SafeString:
    """What is known of a version, with the way to it; nothing where nothing is."""
    page = {"version": version, "number": len(errata_of_version(version))}
    return SafeString(render_to_string("catalogue/errata/_known.html", page))
