"""What the reader's role may do, asked in a template."""

from django import template

from fleet.records.models import Person

register = template.Library()


@register.filter
def may(person: Person | None, ability: str) -> bool:
    return person is not None and person.may(ability)
