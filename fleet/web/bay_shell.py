"""What the tablet page consists of: scripts, sheets, words, pictures, and their addresses."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.contrib.staticfiles.storage import staticfiles_storage
from django.urls import reverse
from django.utils import translation

from fleet.web.bay_words import WORDS

STATIC = Path(__file__).parent / "static"
TEMPLATES = Path(__file__).parents[2] / "templates" / "bay"
LANGUAGES = ("en", "es")
# Plain elements, then parts and things to press, then what is the tablet page's own.
SHEETS = ("tokens", "base", "parts", "forms", "front_end")
PICTURES = (
    "web/mark.svg",
    "web/bay/icon.svg",
    "web/bay/icon-192.png",
    "web/bay/icon-512.png",
)


def sheets() -> list[str]:
    """Static names of the style sheets, in the order in which they count."""
    own = sorted(path.name for path in (STATIC / "web").glob("bay*.css"))
    return [*(f"web/{name}.css" for name in SHEETS), *(f"web/{name}" for name in own)]


def modules() -> list[str]:
    """Static names of the scripts."""
    return sorted(str(path.relative_to(STATIC)) for path in (STATIC / "web/bay").rglob("*.js"))


def views() -> dict[str, str]:
    """The address of each view by its name: the page fetches one when it is first opened."""
    return {
        Path(name).stem: staticfiles_storage.url(name)
        for name in modules()
        if Path(name).parent.name == "views"
    }


def marks() -> list[str]:
    """Static names of the joint's marks, which the style sheets refer to."""
    return sorted(str(path.relative_to(STATIC)) for path in (STATIC / "web/marks").glob("*.svg"))


def words(language: str) -> dict[str, str]:
    """Every word of the scripts, by its key."""
    with translation.override(language):
        return {key: str(text) for key, text in WORDS.items()}


def addresses() -> list[str]:
    """All that the tablet keeps, so that the page opens with no network."""
    files = [*sheets(), *modules(), *marks(), *PICTURES]
    return [
        reverse("bay"),
        reverse("bay_manifest"),
        *(reverse("bay_words", args=[language]) for language in LANGUAGES),
        *(staticfiles_storage.url(name) for name in files),
    ]


@cache
def build() -> str:
    """The name of this state of the page: another as soon as anything in it is another."""
    digest = hashlib.sha256()
    for name in [*sheets(), *modules(), *marks(), *PICTURES]:
        digest.update(name.encode() + (STATIC / name).read_bytes())
    for path in sorted(TEMPLATES.iterdir()):
        digest.update(path.read_bytes())
    for language in LANGUAGES:
        digest.update(json.dumps(words(language)).encode())
    return digest.hexdigest()[:12]
