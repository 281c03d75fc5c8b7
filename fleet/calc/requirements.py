"""What a line must record: fields as data, what was typed read by their types, what is missing.

The rules (a twin in another language follows these and the vectors in
fixtures/rules/vectors/line_fields.json):

1. A field is applicable when it has no `when`, or when the field named there is applicable, has
   a value, and that value is `is` or one of `in`. A value is compared as read (a choice as its
   text, a confirm as true or false, a count as a number).
2. A field that is not applicable is not read: neither a value nor a problem.
3. Text is stripped of spaces at both ends. An empty text and none at all are no value.
4. Each type reads its text as `field_types` says, or gives one problem with a stable code.
   Anything but text, true and false (a number, a list) is ``not_text``.
5. A required field without a value is ``missing``; a value other than `must` gives ``must``.

Codes are never translated here; callers do that, and show `hint` beside them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fleet.calc.field_types import READERS, Field, FieldError

__all__ = ["Field", "FieldProblem", "Readout", "Value", "applicable", "missing", "read_fields"]

#: One field's value: "typed" as it was typed; "value", or for quantities "si" and "unit".
Value = dict[str, Any]


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One thing wrong with one field.

    Attributes
    ----------
    name : str
        The field's name.
    code : str
        ``"missing"``, ``"must"``, or why the text can't be read: a code of
        `fleet.calc.field_types` or of `fleet.calc.unit_errors`.
    hint : str
        An example to type instead, a limit, or the value that it must be; may be empty.
    position : int or None
        For figures, the index of the place that failed in the stripped text.
    """

    name: str
    code: str
    hint: str = ""
    position: int | None = None


@dataclass(frozen=True, slots=True)
class Readout:
    """What could be read, by field name, and what could not."""

    values: dict[str, Value]
    problems: tuple[FieldProblem, ...]


def read_fields(fields: Sequence[Field], typed: Mapping[str, str | bool | None]) -> Readout:
    """Read what was typed into the fields of a line.

    Parameters
    ----------
    fields : sequence of Field
        The definitions, in the order shown. A `when` may name any field.
    typed : mapping
        Text by field name; true and false for a box that was ticked or left. Names that are no
        field are ignored.

    Returns
    -------
    Readout
        Values of applicable fields only, in the order of `fields`; problems likewise.

    Examples
    --------
    >>> fields = [{"name": "figure", "type": "torque", "default_unit": "lbf·ft"}]
    >>> read_fields(fields, {"figure": "85"}).values
    {'figure': {'typed': '85', 'si': 115.24452560816903, 'unit': 'lbf·ft'}}
    >>> read_fields(fields, {"figure": "85 in"}).problems
    (FieldProblem(name='figure', code='wrong_kind', hint='85 lbf·ft', position=3),)
    """
    values: dict[str, Value] = {}
    problems: dict[str, FieldProblem] = {}
    for field in fields:
        read = _read(field, typed.get(field["name"]))
        if isinstance(read, FieldProblem):
            problems[field["name"]] = read
        elif read is not None:
            values[field["name"]] = read
    wanted = [field["name"] for field in applicable(fields, values)]
    return Readout(
        {name: values[name] for name in wanted if name in values},
        tuple(problems[name] for name in wanted if name in problems),
    )


def _read(field: Field, typed: object) -> Value | FieldProblem | None:
    if typed is None or (isinstance(typed, str) and not typed.strip()):
        return None
    if not isinstance(typed, (str, bool)):
        return FieldProblem(field["name"], "not_text")
    try:
        return READERS[field["type"]](field, typed)
    except FieldError as refused:
        return FieldProblem(field["name"], refused.code, refused.hint, refused.position)


def applicable(fields: Sequence[Field], values: Mapping[str, Value]) -> list[Field]:
    """Return the fields that are asked for, given the values so far.

    >>> fields = [{"name": "moved", "type": "confirm"},
    ...           {"name": "turned", "type": "degrees", "when": {"field": "moved", "is": True}}]
    >>> [field["name"] for field in applicable(fields, {"moved": {"typed": "no", "value": False}})]
    ['moved']
    """
    by_name = {field["name"]: field for field in fields}
    return [field for field in fields if _applies(field, by_name, values, frozenset())]


def _applies(
    field: Field,
    by_name: Mapping[str, Field],
    values: Mapping[str, Value],
    asked: frozenset[str],
) -> bool:
    """Follow `when` back to a field without one; a circle of conditions applies to nobody."""
    when = field.get("when")
    if when is None:
        return True
    source = by_name.get(when["field"])
    if source is None or field["name"] in asked or when["field"] not in values:
        return False
    wanted = when["in"] if "in" in when else [when["is"]]
    if not any(_same(values[when["field"]].get("value"), one) for one in wanted):
        return False
    return _applies(source, by_name, values, asked | {field["name"]})


def _same(value: object, wanted: object) -> bool:
    """Compare as JSON does: true is not 1."""
    return value == wanted and isinstance(value, bool) == isinstance(wanted, bool)


def missing(fields: Sequence[Field], values: Mapping[str, Value]) -> tuple[FieldProblem, ...]:
    """Say which fields still lack what they must have.

    Parameters
    ----------
    fields : sequence of Field
    values : mapping
        As `Readout.values`, or as they were stored.

    Returns
    -------
    tuple of FieldProblem
        ``missing`` or ``must``, in the order of `fields`; empty when the line is complete.

    Examples
    --------
    >>> fields = [{"name": "pin", "type": "confirm", "required": True, "must": True}]
    >>> missing(fields, {})
    (FieldProblem(name='pin', code='missing', hint='', position=None),)
    >>> missing(fields, {"pin": {"typed": "no", "value": False}})
    (FieldProblem(name='pin', code='must', hint='true', position=None),)
    """
    found = (_lack(field, values.get(field["name"])) for field in applicable(fields, values))
    return tuple(problem for problem in found if problem is not None)


def _lack(field: Field, value: Value | None) -> FieldProblem | None:
    if value is None:
        return FieldProblem(field["name"], "missing") if field.get("required") else None
    if "must" in field and not _same(value.get("value"), field["must"]):
        must = field["must"]
        return FieldProblem(
            field["name"], "must", str(must).lower() if isinstance(must, bool) else str(must)
        )
    return None
