"""Time zones as a field asks for them: typed, with a list to choose from."""

from functools import cache
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext_lazy

LIST = "zones"


@cache
def places() -> list[str]:
    """Zones by region and city; the old names without a region are read too, but not offered."""
    return sorted(z for z in available_timezones() if "/" in z and not z.startswith("Etc/"))


def zone_field(**kwargs: Any) -> forms.CharField:
    """A text field; its page holds `set_up/zones.html`, the list that it names."""
    return forms.CharField(
        label=gettext_lazy("Time zone"),
        help_text=gettext_lazy("Region/City, like America/Denver. Days and times are the yard's."),
        max_length=64,
        widget=forms.TextInput(attrs={"list": LIST, "autocomplete": "off", "spellcheck": "false"}),
        error_messages={"required": gettext_lazy("Type a time zone like America/Denver.")},
        **kwargs,
    )
