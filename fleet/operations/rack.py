"""A rack's sheet, judged: caster, camber and toe as left, against its specifications.

Toe is set on the tie rod: out of its specification the line does not close, as with a tape.
Caster and camber of a solid axle are changed with parts alone (offset joints, shims, bushings):
out of specification they close with a reason (own). Where the design has a specification on file
both count, the sheet's and the file's: a sheet that was printed for another vehicle shows so.
"""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.errors import Problem
from fleet.operations.line_view import LineView
from fleet.operations.words import value
from fleet.records.models import Design, Vehicle

# A sheet shows hundredths: a millionth of a degree is rounding of what was typed.
ROUNDING = 1e-6
ANGLES = {"caster": gettext_lazy("Caster"), "camber": gettext_lazy("Camber")}
SIDES = {"left": gettext_lazy("left"), "right": gettext_lazy("right")}
REASON = "out_of_spec_reason"

Band = tuple[float, float, str]


def problems(view: LineView, vehicle: Vehicle) -> list[Problem]:
    """Why a rack's figures can't stand; empty where they can, or where one is missing."""
    found = [view.problem("sides_swapped", _("The low side is above the high side."), name)
             for name in _swapped(view)]  # fmt: skip
    if not str(value(view.data, REASON) or "").strip():
        found += [view.problem("angle_out", text, REASON) for text in _angles(view, vehicle.design)]
    return found + _toe(view)


def _swapped(view: LineView) -> Iterator[str]:
    for what in (*ANGLES, "toe"):
        sheet = _of_sheet(view, what)
        if sheet and sheet[0] > sheet[1]:
            yield f"{what}_spec_high"


def _angles(view: LineView, design: Design) -> Iterator[str]:
    """Each angle as left that lies outside, with the nearest of its specifications."""
    for what, name in ANGLES.items():
        bands = [band for band in (_of_sheet(view, what), _on_file(design, what)) if band]
        for side, side_name in SIDES.items():
            left = value(view.data, f"{what}_{side}")
            outside = next((b for b in bands if left is not None and not _inside(left, b)), None)
            if outside is not None:
                yield _(
                    "%(angle)s, %(side)s, is %(left)s° as left; the specification is %(low)s° to "
                    "%(high)s° (%(source)s): say why."
                ) % {
                    "angle": name, "side": side_name, "left": _shown(left),
                    "low": _shown(outside[0]), "high": _shown(outside[1]), "source": outside[2],
                }  # fmt: skip


def _toe(view: LineView) -> list[Problem]:
    left, sheet = value(view.data, "toe_total"), _of_sheet(view, "toe")
    if left is None or sheet is None or _inside(left, sheet):
        return []
    message = _(
        "Total toe as left is %(left)s°; the specification is %(low)s° to %(high)s°: set it."
    ) % {"left": _shown(left), "low": _shown(sheet[0]), "high": _shown(sheet[1])}
    return [view.problem("toe_out", message, "toe_total")]


def _of_sheet(view: LineView, what: str) -> Band | None:
    low, high = (value(view.data, f"{what}_spec_{side}") for side in ("low", "high"))
    return None if low is None or high is None else (low, high, str(_("as on the sheet")))


def _on_file(design: Design, what: str) -> Band | None:
    low, high = (getattr(design, f"{what}_{side}_degrees") for side in ("low", "high"))
    if low is None or high is None:
        return None
    return low, high, getattr(design, f"{what}_source") or str(_("on file"))


def _inside(angle: float, band: Band) -> bool:
    return band[0] - ROUNDING <= angle <= band[1] + ROUNDING


def _shown(angle: float) -> str:
    return f"{angle:.2f}"
