"""The static files as served: hashed names, in modules' imports of each other too."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A module names those that it imports; without this it would name them unhashed."""

    support_js_module_import_aggregation = True
