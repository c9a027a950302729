"""Files of the pages under names that change with their content, also where one script imports another."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script of ours that imports another names it by its hashed name, so that none is ever out of date.

    Scripts of libraries stay as they are: some name what only their own tools can find.
    """

    # One pass for each script in the longest chain of imports; those of the sheet are eleven deep.
    max_post_process_passes = 20
    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("site/*.js", ((r'(?P<matched>from "(?P<url>\.{1,2}/[^"]+)";)', 'from "%(url)s";'),)),
    )
