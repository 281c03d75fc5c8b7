"""A form field for a plain number, typed with a decimal point or a decimal comma."""

import re
from typing import Any

from django import forms

# Three figures behind a comma may be thousands: that is read in two ways, so it is not read.
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,(\d{1,2}|\d{4,})")


class NumberField(forms.FloatField):
    """'1.5' or '1,5'; '1,500' is refused. In every language alike."""

    def to_python(self, value: Any) -> Any:
        """The number, or None where nothing was typed."""
        text = str(value).strip() if value is not None else ""
        return super().to_python(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text)
