"""Which fields of an action a line asks for, by what it is about.

One action serves many joints and vehicles. What differs between them stands in the field itself
(a twin in another language follows these and the vectors in
fixtures/rules/vectors/asked_fields.json):

1. `about` names the facts of the line: texts and true or false, like ``held_by``, ``kind``,
   ``linkage``, ``far``, ``ride_height``, ``new_fastener``. A fact that is not named is false to
   every condition.
2. ``only_<fact>`` is a list: the field is left out unless the fact is one of it. Several must
   all hold. A choice may carry the same and is left out of `choices` alike.
3. ``by`` maps a fact to keys of the field: where the fact is true, these stand in place of the
   field's own. They are taken in the order written.
4. What is handed on has neither ``only_...`` nor ``by``: it is read as `requirements` says.
"""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from fleet.calc.field_types import Field

__all__ = ["About", "asked_fields"]

About = Mapping[str, str | bool]
_ONLY = "only_"


def asked_fields(fields: Sequence[Mapping[str, Any]], about: About) -> list[Field]:
    """Return the fields that a line about these facts asks for.

    Parameters
    ----------
    fields : sequence of mapping
        As the rule of the action has them.
    about : mapping
        The facts of the line, by name.

    Returns
    -------
    list of Field
        In the order given, each ready for `requirements.read_fields`.

    Examples
    --------
    >>> bolt = {"name": "bolt", "type": "choice", "choices": ["yes", "no"],
    ...         "by": {"new_fastener": {"required": True, "must": "yes"}}}
    >>> pin = {"name": "pin", "type": "confirm", "only_held_by": ["slotted_stud"]}
    >>> [field["name"] for field in asked_fields([bolt, pin], {"held_by": "bolt"})]
    ['bolt']
    >>> asked_fields([bolt], {"new_fastener": True})[0]["must"]
    'yes'
    """
    return [_as_asked(field, about) for field in fields if _fits(field, about)]


def _fits(thing: Mapping[str, Any], about: About) -> bool:
    wanted = ((key.removeprefix(_ONLY), key) for key in thing if key.startswith(_ONLY))
    return all(_is_one_of(about.get(fact), thing[key]) for fact, key in wanted)


def _is_one_of(value: object, wanted: Sequence[object]) -> bool:
    """Compare as JSON does: true is not 1."""
    return any(value == one and isinstance(value, bool) == isinstance(one, bool) for one in wanted)


def _as_asked(field: Mapping[str, Any], about: About) -> Field:
    found = dict(field)
    for fact, keys in field.get("by", {}).items():
        if about.get(fact) is True:
            found |= keys
    found.pop("by", None)
    found = _without_conditions(found)
    if "choices" in found:
        found["choices"] = [_bare(c) for c in found["choices"] if _is_offered(c, about)]
    return cast(Field, found)


def _is_offered(choice: object, about: About) -> bool:
    return not isinstance(choice, Mapping) or _fits(choice, about)


def _bare(choice: object) -> object:
    return _without_conditions(choice) if isinstance(choice, Mapping) else choice


def _without_conditions(thing: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in thing.items() if not key.startswith(_ONLY)}
