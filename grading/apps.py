"""The app of the numbers."""

from django.apps import AppConfig


class GradingConfig(AppConfig):
    """Sheets: sizes, fabrics, values, checks and yarn, stored and recalculated on every edit."""

    name = "grading"
    verbose_name = "Grading"
