"""A pull of the wrench in words: what it said, and with an extension what came to the fastener."""

from django.utils.translation import gettext as _

from fleet.calc.read_back import DEFAULT_UNITS
from fleet.calc.units import format_length, format_torque, parse_length, parse_torque
from fleet.records.models import TorqueReading

_FINEST = 64


def as_pulled(torque: TorqueReading) -> str:
    """'80 lbf·ft', or '80 lbf·ft with 3 in extension: 92 lbf·ft at the bolt'."""
    beside = at_bolt(torque.typed, torque.extension_typed, torque.extension_m, torque.torque_nm)
    return f"{torque.typed} {beside}".rstrip()


def at_bolt(typed: str, extension: str, extension_m: float | None, torque_nm: float | None) -> str:
    """'with 3 in extension: 92 lbf·ft at the bolt', in the units that were typed.

    Empty where there was no extension, or one at a right angle, which adds nothing.
    """
    if not extension_m or not torque_nm:
        return ""
    length = parse_length(extension, DEFAULT_UNITS["length"])
    torque = parse_torque(typed, DEFAULT_UNITS["torque"])
    return _("with %(extension)s extension: %(torque)s at the bolt") % {
        "extension": format_length(length.si, length.unit, _FINEST),
        "torque": format_torque(torque_nm, torque.unit),
    }
