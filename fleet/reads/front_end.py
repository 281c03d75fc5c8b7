"""What is drawn of a design's front end: from fixtures/reference/drawing, read once a process."""

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.conf import settings

from fleet.pictures.front_end import Drawing
from fleet.records.models import Design, Joint

FOLDER: Path = settings.BASE_DIR / "fixtures" / "reference" / "drawing"
#: What every vehicle has, and below it what only some are built with.
EVERY = "every"
_KEPT = 64


def drawing_of(design: Design, joints: Iterable[Joint]) -> Drawing:
    """The drawing of a vehicle with these joints: its design's layouts, less what is not fitted."""
    codes = [design.axle.code, design.linkage.code, design.knuckle.code, design.hub.code]
    kinds = {joint.kind.code for joint in joints if joint.fitted != Joint.Fitted.NOT_FITTED}
    return drawing((EVERY, *codes), _absent(kinds))


@lru_cache(maxsize=_KEPT)
def drawing(codes: tuple[str, ...], absent: tuple[str, ...] = ()) -> Drawing:
    """Of layouts by their codes; a layout that nobody has drawn yet adds nothing."""
    files = _with_used(codes)
    instead = {name for code in files for name in _file(code).get("instead_of", ())}
    drawn = [code for code in files if code not in instead and code not in absent]
    joints: dict[str, Any] = {}
    for code in drawn:
        joints |= _file(code)["joints"]
    parts = tuple(part for code in drawn for part in _file(code)["parts"])
    return Drawing(parts, joints, _elsewhere())


@lru_cache(maxsize=1)
def drawn_layouts() -> tuple[str, ...]:
    return tuple(sorted(path.stem for path in FOLDER.glob("*.json")))


def _with_used(codes: Iterable[str]) -> list[str]:
    """Each code after those it is built on, none twice."""
    found: list[str] = []
    for code in codes:
        for name in [*_with_used(_file(code).get("uses", ())), code]:
            if name not in found:
                found.append(name)
    return found


def _absent(kinds: set[str]) -> tuple[str, ...]:
    """What may be left off a vehicle and is: none of its joints is fitted."""
    return tuple(
        code for code in drawn_layouts() if _file(code).get("optional") and not kinds & _kinds(code)
    )


def _kinds(code: str) -> set[str]:
    return {key.split("/")[0] for key in _file(code)["joints"]}


@lru_cache(maxsize=1)
def _elsewhere() -> Mapping[str, Any]:
    """Where any drawing has a kind of joint: for layouts that name it and are not drawn."""
    found: dict[str, Any] = {}
    for code in drawn_layouts():
        found = _file(code)["joints"] | found
    return found


@lru_cache(maxsize=_KEPT)
def _file(code: str) -> dict[str, Any]:
    path = FOLDER / f"{code}.json"
    empty: dict[str, Any] = {"parts": [], "joints": {}}
    # The folder is ours; a layout's code is looked up in it, never followed out of it.
    if code not in drawn_layouts():
        return empty
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found
