"""The composition root as an app: it puts the others together and is imported by none of them."""

from django.apps import AppConfig


class SiteConfig(AppConfig):
    """Settings, root addresses, home page and the commands of the whole studio."""

    name = "catalogue.site"
    label = "site"
    verbose_name = "Studio"
