"""Rules on a page."""

from django import template

from fleet.reads.rule_shapes import Shape

register = template.Library()


@register.filter
def says(rule: Shape, said: dict[tuple[str, str], str]) -> str:
    """What a rule says, in the words that its page has made ready."""
    return said.get((rule.kind, rule.key), "")
