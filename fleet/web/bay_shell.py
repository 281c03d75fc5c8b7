"""What the tablet page consists of: scripts, sheets, words, pictures, and their addresses."""

import hashlib
import json
import re
from functools import cache
from pathlib import Path

from django.contrib.staticfiles.storage import staticfiles_storage
from django.utils import translation

from fleet.web.bay_words import WORDS

STATIC = Path(__file__).parent / "static"
TEMPLATES = Path(__file__).parents[2] / "templates" / "bay"
IMPORTED = re.compile(r'^(?:import|export)\b[^;]*?\sfrom "(\.[^"]+)";', re.MULTILINE)
# A comment on lines of its own: a fifth of the text, which no tablet reads.
COMMENT = re.compile(r"^ *//[^\n]*\n|^ */\*\*.*?\*/\n", re.MULTILINE | re.DOTALL)
LANGUAGES = ("en", "es")
# Plain elements, then parts and things to press, then what is the tablet page's own.
SHEETS = ("tokens", "base", "parts", "forms", "front_end")
MARK = "web/mark.svg"
# The view that a tablet shows before it is one.
FIRST = "web/bay/views/enrol.js"
TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}


def sheets() -> list[str]:
    """Static names of the style sheets, in the order in which they count."""
    own = sorted(path.name for path in (STATIC / "web").glob("bay*.css"))
    return [*(f"web/{name}.css" for name in SHEETS), *(f"web/{name}" for name in own)]


def modules() -> list[str]:
    """Static names of the scripts."""
    return sorted(str(path.relative_to(STATIC)) for path in (STATIC / "web/bay").rglob("*.js"))


@cache
def early() -> list[str]:
    """Static names of what the page asks for as it opens, before any view and any person."""
    return [*sheets(), *sorted(_with_imports("web/bay/app.js") | _with_imports(FIRST))]


def _with_imports(name: str) -> set[str]:
    """A script and all that it can't begin without."""
    folder = (STATIC / name).parent
    asked = IMPORTED.findall((STATIC / name).read_text(encoding="utf-8"))
    paths = [(folder / said).resolve().relative_to(STATIC.resolve()) for said in asked]
    return {name}.union(*(_with_imports(str(path)) for path in paths))


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


def late() -> dict[str, tuple[str, str]]:
    """The rest of what the tablet keeps, by address: type and text.

    It comes in one piece, since so many small answers would be mostly their heads.
    """
    files = [name for name in [*modules(), *marks(), MARK] if name not in early()]
    return {
        staticfiles_storage.url(name): (TYPES[Path(name).suffix], COMMENT.sub("", _text(name)))
        for name in files
    }


@cache
def _text(name: str) -> str:
    """As it is served: with the hashed names of what it refers to."""
    if hasattr(staticfiles_storage, "stored_name"):
        with staticfiles_storage.open(staticfiles_storage.stored_name(name)) as file:
            return str(file.read().decode())
    return (STATIC / name).read_text(encoding="utf-8")


@cache
def build() -> str:
    """The name of this state of the page: another as soon as anything in it is another."""
    digest = hashlib.sha256()
    for name in [*sheets(), *modules(), *marks(), MARK]:
        digest.update(name.encode() + (STATIC / name).read_bytes())
    for path in sorted(TEMPLATES.iterdir()):
        digest.update(path.read_bytes())
    for language in LANGUAGES:
        digest.update(json.dumps(words(language)).encode())
    return digest.hexdigest()[:12]
