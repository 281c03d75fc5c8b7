"""The pictures of a vehicle's file: its front end, its years, its toe, the lives of its joints."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from fleet.papers import blocks
from fleet.papers.blocks import Block
from fleet.papers.drawing import Drawing
from fleet.pictures.plots import PAPER, WIDE, Life, Plot, draw, draw_life
from fleet.reads.reports.record_pictures import RecordPictures

# Half of the sheet laid on its side, so that two stand in a row.
HALF_MM = 115


@dataclass(frozen=True)
class FilePictures:
    """Blocks to put where they belong; what there is nothing to draw of has none."""

    front_end: list[Block]
    years: list[Block]
    toe: list[Block]
    joints: list[Block]


NO_PICTURES = FilePictures([], [], [], [])


def file_pictures(front_end: Drawing, drawn: RecordPictures) -> FilePictures:
    return FilePictures(
        front_end=[blocks.picture(front_end.svg, front_end.alt)],
        years=_years(drawn.years),
        toe=[] if drawn.toe is None else [_figure(drawn.toe)],
        joints=_joints(drawn),
    )


def _years(life: Life | None) -> list[Block]:
    return [] if life is None else [blocks.heading(life.name), _figure(life)]


def _joints(drawn: RecordPictures) -> list[Block]:
    """Two and two, each under its joint's name; what the shapes mean is said once."""
    if not drawn.joints:
        return []
    told = _(
        "The joints at which something happened on more than one day: found loose or worn, turned "
        "by the wrench, a part changed, a hold. Torque: a diamond put it together, a dot turned "
        "it, a ring clicked without turning it. Rechecks: a tick is done, a bar is time past due, "
        "a hollow diamond is owed. The tables of this file have every figure."
    )
    figures = [_figure(life, joint.name, HALF_MM) for joint, life in drawn.joints]
    return [blocks.heading(_("Joints over time")), blocks.text(told, "soft"), blocks.pairs(figures)]


def _figure(picture: Plot | Life, of: str = "", width_mm: float = 165) -> Block:
    """Heard is what it is; what it says stands beneath it for everybody."""
    said = {"name": of or picture.name}
    alt = _("%(name)s, drawn over time. The tables of this file have its figures.") % said
    svg = (
        draw_life(picture, WIDE, PAPER) if isinstance(picture, Life) else draw(picture, WIDE, PAPER)
    )
    return blocks.figure(svg, alt, picture.says, of, width_mm)
