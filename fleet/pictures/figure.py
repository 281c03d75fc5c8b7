"""The front end written as SVG: for a page, whose style sheet colors it, and plain, for print.

On a page the lines are written once (`store`) and used by each frame. The plain picture needs no
style sheet: black on white, with presentation attributes alone.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.html import escape

from fleet.pictures.front_end import Drawing, Framed, Placed
from fleet.pictures.mark import BOX, MUST_ACT, SHAPES, known
from fleet.pictures.scene import Stroke

_ARC = 10.9
_DISC = '<circle class="front-disc" r="9"/>'


@dataclass(frozen=True)
class Corner:
    """A strip of the whole picture that leads to its enlargement."""

    left: float
    right: float
    label: str
    href: str


def store(drawing: Drawing, mirrored: bool) -> str:
    """Lines and marks for the frames of a page to use; takes no room itself."""
    turn = ' transform="scale(-1 1)"' if mirrored else ""
    marks = "".join(f'<g id="fm-{name}">{_DISC}{shape}</g>' for name, shape in SHAPES.items())
    return (
        '<svg class="front-store" width="0" height="0" aria-hidden="true">'
        f'<g id="front-end" class="front-end"{turn}>{_lines(drawing.scene.strokes)}</g>'
        f'<g id="fm-bed"><circle class="front-bed" r="{_ARC}"/></g>{marks}</svg>'
    )


def frame(framed: Framed, joints: str, corners: Sequence[Corner] = ()) -> str:
    """One frame: the lines, thin leaders, and a list of links named `joints`."""
    left, top, width, height = framed.view_box
    links = "".join(_item(placed, framed) for placed in framed.placed if placed.spot.marked)
    strips = "".join(_strip(corner, top, height) for corner in corners)
    return (
        f'<svg class="front front--{framed.code}" viewBox="{left:.0f} {top:.0f} {width:.0f}'
        f' {height:.0f}"><use href="#front-end"/>{_places(framed)}'
        f'<g class="marks" role="list" aria-label="{escape(joints)}">{links}</g>'
        + (f'<g class="corners">{strips}</g>' if strips else "")
        + "</svg>"
    )


def plain(drawing: Drawing, framed: Framed, title: str, mirrored: bool = False) -> str:
    """The whole picture with its marks, black on white, for print and documents."""
    left, top, width, height = framed.view_box
    turn = ' transform="scale(-1 1)"' if mirrored else ""
    scale = framed.mark / BOX
    marks = "".join(
        f'<g transform="{_stand(placed.at, scale)}"><title>{escape(placed.spot.label)}</title>'
        f'<circle r="9" fill="#fff" stroke="none"/>{_arc(placed.spot.share, "#555")}'
        f"{SHAPES[known(placed.spot.mark)]}</g>"
        for placed in framed.placed
        if placed.spot.marked
    )
    leaders, dots = _leaders(framed.placed), _dots(p for p in framed.placed if p.moved)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left:.0f} {top:.0f} {width:.0f}'
        f' {height:.0f}" role="img"><title>{escape(title)}</title>'
        f'<g{turn} fill="#fff" stroke="#000" stroke-linejoin="round" stroke-linecap="round">'
        f"{_plain_lines(drawing.scene.strokes)}</g>"
        f'<g fill="none" stroke="#000" stroke-linecap="round">'
        f'<path d="{leaders or "M0 0"}" stroke-width="2"/><path d="{dots or "M0 0"}"'
        f' stroke-width="9"/>{marks}</g></svg>'
    )


def _lines(found: list[Stroke]) -> str:
    ghosts = [stroke for stroke in found if stroke.weight == "ghost"]
    solid = [stroke for stroke in found if stroke.weight != "ghost"]
    return f'<g class="ghost">{_paths(ghosts)}</g>{_paths(solid)}'


def _paths(found: list[Stroke]) -> str:
    text = ""
    for stroke in found:
        fine = ' class="f"' if stroke.weight == "fine" else ""
        text += "".join(f'<path{fine} d="{outline}"/>' for outline in stroke.outlines)
        text += f'<path class="p" d="{stroke.patch}"/>' if stroke.patch else ""
        text += f'<path class="e" d="{stroke.edges}"/>' if stroke.edges else ""
    return text


def _plain_lines(found: list[Stroke]) -> str:
    text = ""
    for stroke in found:
        ghost = stroke.weight == "ghost"
        color = ' stroke="#888"' if ghost else ""
        wide = {"ghost": 3.2, "fine": 4.4}.get(stroke.weight, 6)
        for outline in stroke.outlines:
            text += f'<path{color} paint-order="stroke" stroke-width="{wide}" d="{outline}"/>'
        if stroke.patch:
            text += f'<path stroke="none" d="{stroke.patch}"/>'
        if stroke.edges:
            text += f'<path{color} fill="none" stroke-width="1.6" d="{stroke.edges}"/>'
    return text


def _places(framed: Framed) -> str:
    """Leaders to true places, and dots where joints are that have no mark here."""
    calm = [p for p in framed.placed if not (p.spot.marked and p.spot.mark in MUST_ACT)]
    act = [p for p in framed.placed if p.spot.marked and p.spot.mark in MUST_ACT]
    found = {
        "leaders": _leaders(framed.placed),
        "dots": _dots(p for p in framed.placed if p.moved or not p.spot.marked),
        "dots dots--all": _dots(p for p in calm if p.spot.marked),
        "dots dots--all dots--act": _dots(act),
    }
    return "".join(f'<path class="{name}" d="{d}"/>' for name, d in found.items() if d)


def _leaders(placed: Sequence[Placed]) -> str:
    return "".join(
        f"M{p.true[0]:.0f} {p.true[1]:.0f}L{p.at[0]:.0f} {p.at[1]:.0f}"
        for p in placed
        if p.true and p.moved and p.spot.marked
    )


def _dots(placed: Iterable[Placed]) -> str:
    return "".join(f"M{p.true[0]:.0f} {p.true[1]:.0f}h0" for p in placed if p.true)


def _item(placed: Placed, framed: Framed) -> str:
    spot, scale = placed.spot, framed.mark / BOX
    shape = known(spot.mark)
    bed = '<use href="#fm-bed"/>' if spot.share is not None else ""
    inside = (
        f"<title>{escape(spot.label)}</title>"
        f'<circle class="t" r="{framed.target / 2 / scale:.2f}"/>'
        f'<use href="#fm-{shape}"/>{bed}{_arc(spot.share)}'
    )
    act = " act" if shape in MUST_ACT else ""
    where = f'transform="{_stand(placed.at, scale)}"'
    if not spot.href:
        return f'<g role="listitem"><g class="here{act}" {where}>{inside}</g></g>'
    name = ' class="act"' if act else ""
    return f'<g role="listitem"><a href="{escape(spot.href)}"{name} {where}>{inside}</a></g>'


def _arc(share: float | None, color: str = "") -> str:
    """The part of the ring that is the share of the interval used, clockwise from the top."""
    if share is None or share <= 0:
        return ""
    paint = f' stroke="{color}" stroke-width="1.8"' if color else ""
    name = "" if color else ' class="arc over"' if share >= 1 else ' class="arc"'
    if share >= 1:
        return f'<circle{name}{paint} r="{_ARC}"/>'
    turn = 2 * math.pi * share
    x, y = _ARC * math.sin(turn), -_ARC * math.cos(turn)
    large = int(turn > math.pi)
    return f'<path{name}{paint} d="M0-{_ARC}A{_ARC} {_ARC} 0 {large} 1 {x:.1f} {y:.1f}"/>'


def _strip(corner: Corner, top: float, height: float) -> str:
    return (
        f'<a href="{escape(corner.href)}"><title>{escape(corner.label)}</title>'
        f'<rect x="{corner.left:.0f}" y="{top:.0f}" width="{corner.right - corner.left:.0f}"'
        f' height="{height:.0f}"/></a>'
    )


def _stand(at: tuple[float, float], scale: float) -> str:
    return f"translate({at[0]:.0f} {at[1]:.0f})scale({scale:.3g})"
