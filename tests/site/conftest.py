"""Settings for the tests of the whole site."""

from tests.site.kept_world import kept_world, world  # noqa: F401  fixtures
