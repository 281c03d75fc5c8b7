"""Static files by hashed names, the imports of our ES modules included."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

_STATIC_IMPORTS = CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1][:3]
# Types in comments are written import("…") too, and may go round in a circle; hashes can't.
_AWAITED = (
    r"""(?P<matched>await import\(["'](?P<url>[./].*?)["']\))""",
    """await import("%(url)s")""",
)


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # has no types
    """A module imports others by relative paths, which have to lead to hashed names too.

    A module's hash holds those of all it imports, so that each level of imports takes one pass.
    Only our own modules are read for imports: bundles of others hold texts that look like some.
    """

    support_js_module_import_aggregation = True
    max_post_process_passes = 20
    _js_module_import_aggregation_patterns = ("web/*.js", (*_STATIC_IMPORTS, _AWAITED))
