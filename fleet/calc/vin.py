"""Vehicle identification numbers: characters, check digit, model year.

References
----------
49 CFR 565.15 (b) and (c) with Tables III to VII; model-year codes also in ISO 3779:2009. The
check digit is mandatory in the United States and optional elsewhere (from memory, unverified),
so a caller warns on it and refuses only where a setting says so.
"""

from dataclasses import dataclass

LENGTH = 17
CHECK_POSITION = 9
YEAR_POSITION = 10
LIGHT_YEAR_POSITION = 7

_VALUES: dict[str, int] = {str(digit): digit for digit in range(10)} | dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", [*range(1, 9), 1, 2, 3, 4, 5, 7, 9, *range(2, 10)], strict=True)
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_FIRST_YEAR, _CYCLE = 1980, 30


class VinError(ValueError):
    """A text of which no check digit can be computed; `problems` says why."""

    def __init__(self, problems: "tuple[VinProblem, ...]") -> None:
        self.problems = problems
        super().__init__("; ".join(str(problem) for problem in problems))


@dataclass(frozen=True, slots=True)
class VinProblem:
    """One thing wrong with a VIN.

    Attributes
    ----------
    code : {"length", "character", "check_digit"}
        Stable name to translate by.
    position : int or None
        Where, counted from 1 as the standard does.
    found, expected : str
        What stands there, and what should (a length, or a check digit; else empty).
    """

    code: str
    position: int | None
    found: str
    expected: str = ""

    def __str__(self) -> str:
        if self.code == "length":
            return f"{self.found} characters, not {self.expected}"
        if self.code == "character":
            return f"{self.found!r} at position {self.position} is not allowed"
        return f"check digit {self.found!r} should be {self.expected!r}"


@dataclass(frozen=True, slots=True)
class VinCheck:
    """What was found out about a VIN.

    Attributes
    ----------
    vin : str
        In capitals, without spaces.
    problems : tuple of VinProblem
        Empty when nothing is wrong.
    model_years : tuple of int
        The years that the code at position 10 may mean, earliest first.
    """

    vin: str
    problems: tuple[VinProblem, ...]
    model_years: tuple[int, ...]

    @property
    def readable(self) -> bool:
        """Whether it has 17 allowed characters; a wrong check digit leaves it readable."""
        return all(problem.code == "check_digit" for problem in self.problems)


def check_digit(vin: str) -> str:
    """Compute the check digit that belongs at position 9.

    Parameters
    ----------
    vin : str
        17 characters; what stands at position 9 is not looked at.

    Returns
    -------
    str
        ``"0"`` to ``"9"`` or ``"X"``: the weighted sum modulo 11.

    Raises
    ------
    VinError
        For another length, or a character that is not allowed.

    Examples
    --------
    >>> check_digit("1J9RP1A3_A1644345")
    '6'
    """
    text = _tidied(vin)
    problems = _unreadable(text, skip=CHECK_POSITION)
    if problems:
        raise VinError(problems)
    pairs = zip(text, _WEIGHTS, strict=True)
    remainder = sum(_VALUES[c] * weight for c, weight in pairs if weight) % 11
    return "0123456789X"[remainder]


def validate_vin(vin: str, *, light: bool | None = None) -> VinCheck:
    """Say what is wrong with a VIN, and which model years it may mean.

    Parameters
    ----------
    vin : str
        As typed; small letters and spaces do not matter.
    light : bool, optional
        Whether the vehicle is a car, multipurpose vehicle or truck of 10,000 lb GVWR or less.
        Only there does position 7 settle the cycle: a letter from 2010 on, a digit before.

    Notes
    -----
    Never raises on a text. A single wrong character changes the check digit in most places; the
    check finds misreadings, it does not prove that the number is this vehicle's.

    Examples
    --------
    >>> validate_vin("JH2RC3605MM101581").problems
    ()
    >>> [str(problem) for problem in validate_vin("JH2RC3605MM1O1581").problems]
    ["'O' at position 13 is not allowed"]
    >>> validate_vin("JH2RC3605MM101581").model_years
    (1991, 2021)
    """
    text = _tidied(vin)
    problems = _unreadable(text)
    if not problems and text[CHECK_POSITION - 1] != (expected := check_digit(text)):
        found = text[CHECK_POSITION - 1]
        problems = (VinProblem("check_digit", CHECK_POSITION, found, expected),)
    return VinCheck(text, problems, _model_years(text, light))


def _tidied(vin: str) -> str:
    # Only ASCII letters are raised: "ß" would become two characters.
    return "".join(c.upper() if c.isascii() else c for c in vin if not c.isspace())


def _unreadable(text: str, skip: int = 0) -> tuple[VinProblem, ...]:
    length = (VinProblem("length", None, str(len(text)), str(LENGTH)),)
    wrong = tuple(
        VinProblem("character", position, c)
        for position, c in enumerate(text[:LENGTH], start=1)
        if c not in _VALUES and position != skip
    )
    return (length if len(text) != LENGTH else ()) + wrong


def _model_years(text: str, light: bool | None) -> tuple[int, ...]:
    if len(text) != LENGTH or (code := text[YEAR_POSITION - 1]) not in _YEAR_CODES:
        return ()
    first = _FIRST_YEAR + _YEAR_CODES.index(code)
    if light is None or not light:
        return first, first + _CYCLE
    return (first + _CYCLE,) if text[LIGHT_YEAR_POSITION - 1].isalpha() else (first,)
