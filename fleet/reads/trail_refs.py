"""What the trail's entries refer to by id, with the names that these have now."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Model

from fleet.records.models import Design, Person, TrailEntry, Yard

# Names of an entry that hold ids, or lists of ids.
_MODELS: dict[str, type[Model]] = {
    "people": Person,
    "person": Person,
    "yard_id": Yard,
    "crew_from_id": Yard,
    "design_id": Design,
}
Referred = Mapping[type[Model], Mapping[int, str]]


def referred(entries: Iterable[TrailEntry]) -> Referred:
    """Names of all that some entries refer to: one query for each kind that occurs."""
    wanted: dict[type[Model], set[int]] = defaultdict(set)
    for entry in entries:
        for said in (entry.before or {}, entry.after or {}):
            for name in _MODELS.keys() & said.keys():
                wanted[_MODELS[name]].update(_ids(said[name]))
    return {model: _names(model, ids) for model, ids in wanted.items() if ids}


def _names(model: type[Model], ids: set[int]) -> dict[int, str]:
    return {pk: str(row) for pk, row in model._default_manager.in_bulk(ids).items()}


def _ids(value: Any) -> list[int]:
    found = value if isinstance(value, list) else [value]
    return [one for one in found if isinstance(one, int) and not isinstance(one, bool)]


def named(name: str, value: Any, known: Referred) -> str:
    """The names that a value refers to; empty where it refers to nothing."""
    names = known.get(_MODELS[name], {}) if name in _MODELS else {}
    ids = _ids(value) if name in _MODELS else []
    return ", ".join(names.get(one, str(one)) for one in ids)
