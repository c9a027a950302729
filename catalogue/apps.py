"""The app of the patterns."""

from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    """Patterns: people, words, photos, versions, editions, errata and the public pages."""

    name = "catalogue"
    verbose_name = "Catalogue"
