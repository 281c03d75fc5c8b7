"""Form fields for measures: typed as the trade writes them, handed on in SI."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _

from fleet.calc.unit_table import KG_A_POUND
from fleet.calc.units import UnitError, format_length, parse_length, parse_meter
from fleet.reads.rules import LINES
from fleet.web.forms import FigureInput

PLAIN = {"autocomplete": "off"}
# A word or a figure in a field of its size (forms.css).
SHORT = PLAIN | {"class": "short-text"}


class LengthField(forms.CharField):
    """'33 in', '84 cm': metres, or None where nothing was typed."""

    def __init__(self, *, unit: str = "in", signed: bool = False, **kwargs: Any) -> None:
        self.unit, self.signed = unit, signed
        widget = FigureInput("length", unit, signed=signed)
        super().__init__(required=False, max_length=40, widget=widget, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return float(parse_length(text, self.unit, signed=self.signed).si)
        except UnitError as error:
            message = _("This can't be read as a length. Type it like %(hint)s.")
            raise forms.ValidationError(message % {"hint": error.hint}, "unreadable") from error

    def prepare_value(self, value: Any) -> Any:
        return format_length(value, self.unit) if isinstance(value, float | int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != str(data or "").strip()


def _whole_kilograms(pounds: float) -> int:
    """Never rounded down to a line that the law draws in pounds: 10,001 lb is over 10,000."""
    found = round(pounds * KG_A_POUND)
    return found + any(pounds > line and found <= in_kg for line, in_kg in LINES.items())


class WeightField(forms.CharField):
    """'9,900 lb' or '4500 kg': whole kilograms. A bare number is pounds."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs=SHORT)
        super().__init__(required=False, max_length=20, widget=widget, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value).lower()
        if not text:
            return None
        number = text.removesuffix("s").removesuffix("lb").removesuffix("kg").strip()
        try:
            read = float(parse_meter(number, "km").magnitude)
        except UnitError as error:
            message = _("This can't be read as a weight. Type it like 9900 lb or 4500 kg.")
            raise forms.ValidationError(message, "unreadable") from error
        return round(read) if text.endswith("kg") else _whole_kilograms(read)

    def prepare_value(self, value: Any) -> Any:
        return f"{value} kg" if isinstance(value, int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != str(data or "").strip()
