"""The mark of a joint: a fastener seen end-on, with its stripe of witness paint.

Shape carries the meaning and color only repeats it, so that it can be read in print. Shapes are
drawn round 0,0 in a square of 24. Under `SMALL` px the arc is left out and the lines are stronger.
"""

from django.utils.html import escape

BOX = 24
SMALL = 20
MUST_ACT = frozenset({"moved", "play", "bad"})
_ROUND = '<circle r="6.6" stroke-width="1.7"/>'
_ENDS = '<path d="M0-9.6V-6.6M0 6.6V9.6" stroke-width="3"/>'
SHAPES = {
    # The stripe runs straight over nut and bracket.
    "tight": _ROUND + '<path d="M0-9.6V9.6" stroke-width="3"/>',
    "no_play": _ROUND + '<path d="M0-9.6V9.6" stroke-width="1.1"/>',
    # The wrench turned the nut: its part of the stripe no longer meets the bracket's.
    "moved": _ROUND + _ENDS + '<path d="M-4.3 4.3L4.3-4.3" stroke-width="3"/>',
    # Broken in two.
    "play": _ROUND + _ENDS + '<path d="M-2.4-5V-1.2M2.4 1.2V5" stroke-width="3"/>',
    "bad": _ROUND + '<path d="M-4.7-4.7L4.7 4.7M4.7-4.7L-4.7 4.7" stroke-width="2.4"/>',
    "unknown": '<circle r="6.6" stroke-width="1.7" stroke-dasharray="1.9 3.283"/>',
}
_SMALL_ROUND = '<circle r="7.6" stroke-width="2.3"/>'
_SMALL_ENDS = '<path d="M0-9.8V-7.8M0 7.8V9.8" stroke-width="4.2"/>'
SMALL_SHAPES = {
    "tight": _SMALL_ROUND + '<path d="M0-9.8V9.8" stroke-width="4.2"/>',
    "no_play": _SMALL_ROUND + '<path d="M0-11V11" stroke-width="1.5"/>',
    "moved": _SMALL_ROUND + _SMALL_ENDS + '<path d="M-4.4 4.4L4.4-4.4" stroke-width="4"/>',
    "play": _SMALL_ROUND + _SMALL_ENDS + '<path d="M-3-5.4V-1.4M3 1.4V5.4" stroke-width="3.8"/>',
    "bad": _SMALL_ROUND + '<path d="M-5-5L5 5M5-5L-5 5" stroke-width="3.4"/>',
    "unknown": '<circle r="7.6" stroke-width="2.3" stroke-dasharray="2.4 3.57"/>',
}
_ARC_RADIUS = 10.9


def known(shape: str) -> str:
    """The shape to draw: of a state that has none, that of a joint nobody ever looked at."""
    return shape if shape in SHAPES else "unknown"


def arc(share: float | None) -> str:
    """A thin arc round the mark, from the top and clockwise: the share of its interval used."""
    if share is None:
        return ""
    over = " mark-arc--over" if share >= 1 else ""
    length = round(100 * min(max(share, 0), 1))
    return (
        f'<circle class="mark-arc-bed" r="{_ARC_RADIUS}" stroke-width="1.2"/>'
        f'<circle class="mark-arc{over}" r="{_ARC_RADIUS}" stroke-width="1.8" pathLength="100"'
        f' stroke-dasharray="{length} 100" transform="rotate(-90)"/>'
    )


def mark_svg(
    shape: str,
    share: float | None = None,
    *,
    size: int = 28,
    label: str = "",
    act: bool | None = None,
) -> str:
    """One mark as a picture of so many px; without a label a screen reader skips it.

    It is in the accent where somebody must act: with `act`, or, left open, by its shape.
    """
    shape = known(shape)
    small = size < SMALL
    colored = shape in MUST_ACT if act is None else act
    act_class = " mark--act" if colored else ""
    tiny = " mark--small" if small else ""
    said = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
    drawn = SMALL_SHAPES[shape] if small else arc(share) + SHAPES[shape]
    return (
        f'<svg class="mark{act_class}{tiny}" viewBox="-12 -12 24 24" width="{size}" height="{size}"'
        f" {said}>{drawn}</svg>"
    )


def icon_svg(color: str) -> str:
    """The browser's own picture of a page: the mark of a tight joint, alone."""
    return f"{_alone('tight', color)}\n"


def ink_svg(shape: str) -> str:
    """A small mark that stands alone, black on white: for text on paper."""
    return _alone(known(shape), "#000")


def _alone(shape: str, color: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-12 -12 24 24" width="32" height="32"'
        f' fill="none" stroke="{color}" stroke-linecap="round">{SMALL_SHAPES[shape]}</svg>'
    )
