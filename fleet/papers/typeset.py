"""PDF by Typst, in process: tagged (PDF/UA-1), with the fonts that the library brings.

Data goes in as JSON, so nothing that was typed can become markup. A template reads no file
outside its own folder and names no package, so that nothing is fetched.
"""

import json
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, cast

import typst
from django.conf import settings

PDF = "application/pdf"
STANDARD = "ua-1"
US, METRIC = "us-letter", "a4"


def pdf(template: str, data: Mapping[str, Any], at: datetime) -> bytes:
    """Set one document. `at` is its date; the same data at the same moment give the same bytes."""
    folder = templates()
    made = typst.compile(
        str(folder / f"{template}.typ"),
        root=str(folder),
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"data": json.dumps(data)},
        pdf_standards=[STANDARD],
        timestamp=int(at.timestamp()),
        # A folder that is not there: packages are not looked for anywhere.
        package_path=str(folder / "no-packages"),
        package_cache_path=str(folder / "no-packages"),
    )
    return cast("bytes", made)


def templates() -> Path:
    return Path(settings.BASE_DIR) / "templates" / "paper"


def paper_of(units: str) -> str:
    """The sheet that a reader's printer holds: letter with US units, A4 with metric ones."""
    return METRIC if units == "metric" else US
