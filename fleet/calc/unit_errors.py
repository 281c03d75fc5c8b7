"""What a reader of typed figures says when it can't read one."""

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "empty": "nothing was typed",
    "too_long": "the text is too long for one figure",
    "too_many_digits": "more than 12 digits",
    "missing_number": "a number belongs here",
    "negative": "a figure below zero makes no sense here",
    "not_finite": "this is not a figure that a tool can show",
    "exponent": "write the figure out in full, without an exponent",
    "zero_denominator": "the lower number of a fraction can't be zero",
    "improper_fraction": "the fraction is not less than one; leave a space after the whole number",
    "odd_denominator": "no tape is divided so; halves, quarters, 8ths, 16ths, 32nds or 64ths",
    "fraction_in_metric": "a fraction does not go with this unit",
    "fraction_after_decimal": "a fraction can't follow a decimal",
    "fraction_in_meter": "a meter shows no fractions",
    "ambiguous_comma": "the comma may mean thousands or a decimal",
    "ambiguous_point": "the point may mean thousands or a decimal",
    "bad_grouping": "the digits are not grouped in threes",
    "two_numbers": "a second number stands here",
    "inches_past_foot": "twelve inches or more after feet",
    "unknown_unit": "this unit is not known here",
    "wrong_kind": "this unit measures something else",
    "unexpected": "this does not belong to the figure",
}

#: Longer texts are cut in the message.
SHOWN = 60


class UnitError(ValueError):
    """A figure that can't be read as typed.

    Attributes
    ----------
    code : str
        Stable name of what is wrong, a key of `MESSAGES`; translate by it.
    text : str
        What was typed, unchanged.
    position : int
        Index in `text` of the place that failed; ``len(text)`` when the end came too soon.
    hint : str
        An example to type instead.
    """

    def __init__(self, code: str, text: str, position: int, hint: str) -> None:
        self.code, self.text, self.position, self.hint = code, text, position, hint
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        shown = self.text if len(self.text) <= SHOWN else self.text[:SHOWN] + "…"
        rest = self.text[self.position : self.position + 12]
        place = f' at "{rest}" (character {self.position + 1})' if rest.strip() else ""
        return f'Can\'t read "{shown}"{place}: {MESSAGES[self.code]}. Type it like: {self.hint}'

    def __reduce__(self) -> tuple[type["UnitError"], tuple[str, str, int, str]]:
        return type(self), (self.code, self.text, self.position, self.hint)
