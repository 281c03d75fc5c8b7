"""A VIN's check digit, and the model years it may mean."""

from datetime import date
from functools import reduce
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.vin import CHECK_POSITION, YEAR_POSITION, VinCheck, VinProblem, validate_vin
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given
from fleet.reads.reckoning.play import CLASSES

# Of a maker that does not exist: no country has been given the 0 in front.
EXAMPLE = "0DM4FHA38LB000417"
NAME = "vin"
_ORIGIN = "49 CFR 565.15(b), (c)"
WEIGHTS: tuple[tuple[str, Any], ...] = (("", gettext_lazy("not known")), *CLASSES)


def _problem(problem: VinProblem) -> str:
    words = {"found": problem.found, "expected": problem.expected, "at": problem.position}
    if problem.code == "length":
        return _("%(found)s characters, not %(expected)s.") % words
    if problem.code == "character":
        return _("“%(found)s” at position %(at)s is not allowed.") % words
    return _("The check digit at position %(at)s is %(found)s and should be %(expected)s.") % words


def _either(one: str, other: str) -> str:
    return _("%(one)s or %(other)s") % {"one": one, "other": other}


def work(given: Given, today: date) -> Answer:
    vin = given.read("vin", lambda text, ask: text)
    weight = given.choice("weight")
    given.settle()
    found = validate_vin(given.must(vin), light={"light": True, "heavy": False}.get(weight))
    given.read_as("vin", found.vin)
    if not found.readable:
        for problem in found.problems:
            given.wrong("vin", problem.code, _problem(problem), EXAMPLE[:8] + "_" + EXAMPLE[9:])
        given.settle()
    return _answer(found)


def _answer(found: VinCheck) -> Answer:
    digit = found.vin[CHECK_POSITION - 1]
    wrong = found.problems[0] if found.problems else None
    should = wrong.expected if wrong else digit
    figures = [
        Figure("check_digit", _("Check digit, position 9"), (Amount(digit, _("(no unit)")),),
               _("computed: %(digit)s") % {"digit": should}, _ORIGIN, wrong is not None),
    ]  # fmt: skip
    if found.model_years:
        years = reduce(_either, (str(year) for year in found.model_years))
        figures.append(
            Figure("model_year", _("Model year, position 10"), (Amount(years, ""),),
                   str(NOT_JUDGED), _("code %(code)s; %(of)s, Table VII") % {
                       "code": found.vin[YEAR_POSITION - 1], "of": _ORIGIN})
        )  # fmt: skip
    if wrong is None:
        text = _("The check digit fits. It finds misreadings; it does not prove that the number is "
                 "this vehicle's.")  # fmt: skip
        return Answer(NAME, Said("fits", text), tuple(figures))
    text = _("%(problem)s Read the number again, character by character.") % {
        "problem": _problem(wrong)
    }
    cautions = (
        Said("elsewhere", _("The check digit is mandatory in the United States and optional "
                            "elsewhere (from memory, unverified).")),
    )  # fmt: skip
    return Answer(NAME, Said("check_digit", text, grave=True), tuple(figures), cautions=cautions)


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("VIN check digit"),
    gettext_lazy("Whether a vehicle identification number was read right."),
    (
        Ask("vin", gettext_lazy("VIN"), example=EXAMPLE, needed=True,
            hint=gettext_lazy("17 characters; never I, O or Q.")),
        Ask("weight", gettext_lazy("Gross weight rating"), "choice", choices=WEIGHTS),
    ),
    work,
    gettext_lazy(
        "A code alone leaves the model year open by 30 years; over 10,000 lb it stays so."
    ),
    _ORIGIN,
)  # fmt: skip
