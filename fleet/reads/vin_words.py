"""What is wrong with a VIN, in the reader's language."""

from django.utils.translation import gettext as _

from fleet.calc.vin import VinProblem, validate_vin


def vin_words(problem: VinProblem) -> str:
    """One problem of a VIN."""
    texts = {
        "length": _("A VIN has %(expected)s characters; this has %(found)s."),
        "character": _("“%(found)s” at position %(position)s can't stand in a VIN (no I, O, Q)."),
        "check_digit": _(
            "The check digit (position 9) is %(found)s and should be %(expected)s: "
            "read the plate again."
        ),
    }
    return texts[problem.code] % {
        "found": problem.found,
        "expected": problem.expected,
        "position": problem.position,
    }


def vin_note(vin: str) -> str:
    """What is wrong with a VIN on file; nothing where nothing is, or there is none."""
    return "; ".join(vin_words(problem) for problem in validate_vin(vin).problems) if vin else ""
