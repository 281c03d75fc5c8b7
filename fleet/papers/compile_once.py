"""Sets one document and ends: run as a program of its own, never imported by the site.

The library keeps what it has set in memory for good (600 MB after ten vehicle files); a process
that ends gives it back. Reads one JSON object from standard input, writes the PDF.
"""

import json
import sys
from pathlib import Path

import typst


def main() -> None:
    asked = json.load(sys.stdin.buffer)
    folder = Path(asked["folder"])
    made = typst.compile(
        folder / f"{asked['template']}.typ",
        root=folder,
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"data": json.dumps(asked["data"])},
        pdf_standards=["ua-1"],
        timestamp=int(asked["at"]),
        # A folder that is not there: packages are looked for nowhere.
        package_path=folder / "no-packages",
        package_cache_path=folder / "no-packages",
    )
    sys.stdout.buffer.write(made)


if __name__ == "__main__":
    main()
