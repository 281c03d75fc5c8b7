"""The static files as served: hashed names, in modules' imports of each other too."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """A module names those that it imports; without this it would name them unhashed.

    Only in our own folder: libraries' files name things in their comments that are no files.
    """

    support_js_module_import_aggregation = True
    _js_module_import_aggregation_patterns = (
        "web/*.js",
        CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1],
    )
