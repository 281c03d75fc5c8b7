"""Small pieces of the inspection sheet, drawn by hand: a joint's inputs and their errors."""

from typing import Any

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()
_MOST = {"reason": 200, "note": 400}
_CHECKED = SafeString(" checked")


@register.simple_tag
def look_field(entry: Any, name: str, label: str, like: str = "") -> SafeString:
    """One text input of a joint; `like` shows how a figure is written."""
    typed, longest = entry.typed[name], _MOST.get(name)
    return format_html(
        '<label class="look-{}">{}<input name="{}-{}"{}{}{}{}></label>{}',
        name,
        label,
        entry.prefix,
        name,
        format_html(' value="{}"', typed) if typed else "",
        format_html(' maxlength="{}"', longest) if longest else "",
        format_html(' placeholder="{}"', like) if like else "",
        _wrong(entry, name),
        field_errors(entry, name),
    )


def _wrong(entry: Any, name: str) -> SafeString:
    if not entry.errors.get(name):
        return SafeString("")
    return format_html(' aria-invalid="true" aria-describedby="{}-{}_error"', entry.prefix, name)


@register.simple_tag
def field_errors(entry: Any, name: str) -> SafeString:
    """What is wrong with one input of a joint, beside it."""
    wrong = entry.errors.get(name)
    if not wrong:
        return SafeString("")
    texts = format_html_join("", "<p>{}</p>", ((text,) for text in wrong))
    return format_html(
        '<div class="field-error" id="{}-{}_error">{}</div>', entry.prefix, name, texts
    )


@register.simple_tag
def chips(entry: Any, name: str, options: Any, first: SafeString | str = "") -> SafeString:
    """One choice of a joint as a row of large buttons; `options` are (value, label)."""
    chosen, place = entry.typed[name], f"{entry.prefix}-{name}"
    buttons = format_html_join(
        "",
        '<label><input type="radio" name="{}" value="{}"{}>{}</label>',
        ((place, value, _CHECKED if value == chosen else "", label) for value, label in options),
    )
    return format_html('<div class="chips">{}{}</div>', first, buttons)


@register.simple_tag
def blank_chip(entry: Any, label: str) -> SafeString:
    """The button that takes a joint off the sheet again."""
    checked = "" if entry.typed["code"] else _CHECKED
    return format_html(
        '<label class="chip-none"><input type="radio" name="{}-code" value=""{}>{}</label>',
        entry.prefix,
        checked,
        label,
    )


@register.simple_tag
def method_chips(entry: Any, names: dict[str, str]) -> SafeString:
    return chips(entry, "method", entry.methods(names))
