"""The guide's pictures: each page as it stands, by day and by night, small enough for a phone."""

import base64
from pathlib import Path
from typing import Literal

from playwright.sync_api import Locator, Page, ViewportSize

from fleet.web.guide_text import HEIGHT, WIDTH

QUALITY, MARGIN = 62, 28
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


class Camera:
    """Keeps two WebP files of each shot in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def shoot(self, page: Page, key: str, top: Locator) -> None:
        top.first.evaluate(
            "(e, margin) => scrollTo(0, e.getBoundingClientRect().top + scrollY - margin)", MARGIN
        )
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            (self.folder / f"{key}-{scheme}.webp").write_bytes(_taken(page))
        page.emulate_media(color_scheme="light")


def _taken(page: Page) -> bytes:
    """Through the debugger: Playwright itself writes no WebP."""
    session = page.context.new_cdp_session(page)
    options = {"format": "webp", "quality": QUALITY, "optimizeForSpeed": False}
    answer = session.send("Page.captureScreenshot", options)
    session.detach()
    return base64.b64decode(answer["data"])


VIEWPORT = ViewportSize(width=WIDTH, height=HEIGHT)
