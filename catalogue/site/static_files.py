"""Files of the pages under names that change with their content, also where one script imports another."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script that imports another names it by its hashed name, so that none is ever out of date."""

    support_js_module_import_aggregation = True
