"""Names that a report needs for the codes and ids that records keep."""

from collections.abc import Mapping
from dataclasses import dataclass

from fleet.reads.rules import RuleNow, rules
from fleet.reads.words import names_of
from fleet.records.models import Person


@dataclass(frozen=True)
class Names:
    """Of methods, actions and ladders by code, and of people by id."""

    methods: Mapping[str, str]
    actions: Mapping[str, RuleNow]
    ladders: dict[str, RuleNow]
    routine: dict[str, RuleNow]
    people: Mapping[str, str]


def names_now(person: Person) -> Names:
    """As the rules call them now; five queries."""
    people = Person.visible_to(person).values_list("pk", "name")
    return Names(
        methods=names_of("method"),
        actions=rules("action"),
        ladders=rules("ladder"),
        routine=rules("routine"),
        people={str(pk): name for pk, name in people},
    )
