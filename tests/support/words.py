"""Every message of the program, and the Spanish catalogue that holds it (`make words`).

A bare Debian has no gettext tools, so Babel reads the sources and writes both files. The program
itself needs only the .mo. Messages are found as Django's own makemessages finds them: calls in
Python, and templates turned into such calls by `templatize`.
"""

import io
import sys
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "fleet" / "locale" / "es" / "LC_MESSAGES"
PO = FOLDER / "django.po"
MO = FOLDER / "django.mo"
KEYWORDS: dict[str, tuple[int | tuple[int, str], ...] | None] = {
    "_": None,
    "N_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "npgettext_lazy": ((1, "c"), 2, 3),
}


class Spanish(Catalog):
    """A catalogue whose head holds only what Django reads.

    A date or a tool's release there would change with every run. One form is for 1 and one for the
    rest: a million needs no form of its own in this program.
    """

    num_plurals = 2

    @property  # type: ignore[misc]  # the library's can be set; this one is what it is
    def mime_headers(self) -> list[tuple[str, str]]:
        """The fields of the head."""
        return [
            ("Language", "es"),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
            ("Plural-Forms", "nplurals=2; plural=(n != 1);"),
        ]


def sources() -> Iterator[tuple[Path, str]]:
    """Each file that may hold messages, with its text as Python."""
    for folder in ("fleet", "api"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path, path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "templates").rglob("*")):
        if path.suffix in {".html", ".txt", ".svg", ".typ"}:
            yield path, templatize(path.read_text(encoding="utf-8"), origin=str(path))


def extracted() -> Catalog:
    """A fresh catalogue of what the sources say now, with no translation in it."""
    catalog = Catalog(fuzzy=False)
    for path, text in sources():
        # Babel's reader is asked only where a message can be: it takes most of the time.
        if "gettext" not in text:
            continue
        found = extract(
            "python", io.BytesIO(text.encode()), KEYWORDS, ("Translators:",), {"encoding": "utf-8"}
        )
        for _line, message, comments, context in found:
            place = str(path.relative_to(ROOT))
            catalog.add(message, None, [(place, 1)], auto_comments=comments, context=context)
    return catalog


def kept() -> Catalog:
    """The Spanish catalogue as it is committed."""
    with PO.open("rb") as file:
        return read_po(file, locale="es", domain="django")


def key(message: Message) -> tuple[str | None, str]:
    """What a message is found by: its context and its (singular) text."""
    return message.context, forms(message.id)[0]


def forms(text: str | tuple[str, ...] | list[str] | None) -> list[str]:
    """The forms of a message or of its translation: one, or one for each number."""
    return [text or ""] if isinstance(text, str | None) else list(text)


def is_filled(message: Message) -> bool:
    """Whether every form of it is translated, and by a person (not fuzzy)."""
    return all(forms(message.string)) and not message.fuzzy


def updated(old: Catalog) -> Catalog:
    """The old catalogue with the messages of now: nothing obsolete, nothing guessed."""
    catalog = Spanish(locale="es", fuzzy=False, header_comment=old.header_comment)
    for message in extracted():
        if not message.id:
            continue
        before = old.get(key(message)[1], message.context)
        same = before is not None and before.pluralizable == message.pluralizable
        string = before.string if before is not None and same else None
        places = sorted(set(message.locations))
        catalog.add(
            message.id,
            string,
            places,
            message.flags,
            message.auto_comments,
            context=message.context,
        )
    return catalog


def write(catalog: Catalog) -> None:
    """Write .po and .mo."""
    with PO.open("wb") as file:
        write_po(file, catalog, width=100, sort_output=True, include_lineno=False)
    with MO.open("wb") as file:
        write_mo(file, catalog)


def main() -> int:
    """Bring the catalogue up to date; list what has no Spanish yet, and fail where there is any."""
    catalog = updated(kept())
    write(catalog)
    missing = [message for message in catalog if message.id and not is_filled(message)]
    for message in missing:
        print(f"{message.locations[0][0]}: {message.id!r}")
    print(f"{len(catalog)} messages, {len(missing)} without Spanish")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
