"""What is drawn of a design's front end: from fixtures/reference/drawing, read once a process."""

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from fleet.pictures.changed import AS_MADE, Changed, changed_part, changed_place
from fleet.pictures.front_end import Drawing
from fleet.reads.said import tape
from fleet.records.models import Joint, Vehicle

FOLDER: Path = settings.BASE_DIR / "fixtures" / "reference" / "drawing"
#: What every vehicle has, and below it what only some are built with.
EVERY = "every"
_KEPT = 64
_MM = 1000.0


def drawing_of(vehicle: Vehicle, joints: Iterable[Joint]) -> Drawing:
    """The drawing of a vehicle with these joints: its design's layouts, less what is not fitted,
    as its own facts say that it was changed."""
    design = vehicle.design
    codes = [design.axle.code, design.linkage.code, design.knuckle.code, design.hub.code]
    kinds = {joint.kind.code for joint in joints if joint.fitted != Joint.Fitted.NOT_FITTED}
    return drawing((EVERY, *codes), _absent(kinds), changed_of(vehicle))


def changed_of(vehicle: Vehicle) -> Changed:
    """What was changed on a vehicle's front end since it was made, as far as it is drawn."""
    lift = round(vehicle.lift_m * _MM)
    return Changed(lift, vehicle.drop_arm, vehicle.lowered_bracket)


def changed_words(vehicle: Vehicle) -> str:
    """What the drawing shows that the vehicle was not made with; empty where it is as made."""
    both = {"inches": tape(vehicle.lift_m, "us"), "mm": tape(vehicle.lift_m, "metric")}
    found = [
        (vehicle.lift_m > 0, _("raised %(inches)s (%(mm)s)") % both),
        (vehicle.drop_arm, _("drop Pitman arm")),
        (vehicle.lowered_bracket, _("lowered track-bar bracket")),
    ]
    told = ", ".join(words for is_so, words in found if is_so)
    return _("Drawn as it was changed, not to measure: %(what)s.") % {"what": told} if told else ""


@lru_cache(maxsize=_KEPT)
def drawing(
    codes: tuple[str, ...], absent: tuple[str, ...] = (), changed: Changed = AS_MADE
) -> Drawing:
    """Of layouts by their codes; a layout that nobody has drawn yet adds nothing."""
    files = _with_used(codes)
    instead = {name for code in files for name in _file(code).get("instead_of", ())}
    drawn = [code for code in files if code not in instead and code not in absent]
    joints: dict[str, Any] = {}
    for code in drawn:
        rides = _file(code).get("rides", {})
        joints |= {
            key: changed_place(place, rides.get(key), changed)
            for key, place in _file(code)["joints"].items()
        }
    parts = tuple(changed_part(part, changed) for code in drawn for part in _file(code)["parts"])
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
