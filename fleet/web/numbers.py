"""A form field for a plain number, typed with a decimal point or a decimal comma."""

import re
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy

# Three figures behind a comma may be thousands: that is read in two ways, so it is not read.
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,(\d{1,2}|\d{4,})")


class NumberField(forms.FloatField):
    """'1.5' or '1,5'; '1,500' is refused. In every language alike."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "invalid": gettext_lazy("Type a number, like 4.5."),
        "min_value": gettext_lazy("Type a number that is not below %(limit_value)s."),
        "max_value": gettext_lazy("Type a number that is not above %(limit_value)s."),
    }

    def to_python(self, value: Any) -> Any:
        """The number, or None where nothing was typed."""
        text = str(value).strip() if value is not None else ""
        return super().to_python(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text)
