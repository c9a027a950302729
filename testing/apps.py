"""The app of the test calls."""

from django.apps import AppConfig


class TestingConfig(AppConfig):
    """Test calls: applications, places, results and what they say about the pattern."""

    name = "testing"
    verbose_name = "Test calls"
