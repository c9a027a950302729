"""Files of the pages under names that change with their content, also where one script imports another."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script of ours that imports another names it by its hashed name, so that none is ever out of date.

    Scripts of libraries stay as they are: some name what only their own tools can find.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("site/*.js", ((r'(?P<matched>from "(?P<url>\./[^"]+)";)', 'from "%(url)s";'),)),
    )
