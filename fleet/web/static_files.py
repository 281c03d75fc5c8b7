"""Static files by hashed names, the imports of our ES modules included."""

from pathlib import Path
from typing import Any

from whitenoise.compress import Compressor
from whitenoise.storage import CompressedManifestStaticFilesStorage

_STATIC_IMPORTS = CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1][:3]
# Types in comments are written import("…") too, and may go round in a circle; hashes can't.
_AWAITED = (
    r"""(?P<matched>await import\(["'](?P<url>[./].*?)["']\))""",
    """await import("%(url)s")""",
)

# Brotli takes 3 s a megabyte, and what is larger is others' bundles, for a page that few open.
BROTLI_MOST_BYTES = 100_000


class OwnCompressor(Compressor):  # type: ignore[misc]  # has no types
    """By gzip and Brotli, what is large by gzip alone."""

    def __init__(self, **how: Any) -> None:
        super().__init__(**how)
        self.large = Compressor(use_brotli=False, **how)

    def compress(self, path: str) -> list[str]:
        large = Path(path).stat().st_size > BROTLI_MOST_BYTES
        made: list[str] = self.large.compress(path) if large else super().compress(path)
        return made


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # has no types
    """A module imports others by relative paths, which have to lead to hashed names too.

    A module's hash holds those of all it imports, so that each level of imports takes one pass.
    Only our own modules are read for imports: bundles of others hold texts that look like some.
    """

    support_js_module_import_aggregation = True
    max_post_process_passes = 20
    _js_module_import_aggregation_patterns = ("web/*.js", (*_STATIC_IMPORTS, _AWAITED))

    def create_compressor(self, **how: Any) -> Compressor:
        return OwnCompressor(**how)
