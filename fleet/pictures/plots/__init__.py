"""Plots: calm axes, direct labels, shapes that carry the meaning.

`draw(plot, size, look)` answers one SVG. On a page both sizes are sent and the style sheet shows
one; on paper the wide one is drawn with `PAPER`.
"""

from fleet.pictures.plots.draw import draw
from fleet.pictures.plots.draw_life import draw_life
from fleet.pictures.plots.frame import NARROW, SIZES, WIDE, Size
from fleet.pictures.plots.lanes import Gauge, Lane, Life, Reading, Sign, Stay
from fleet.pictures.plots.looks import PAGE, PAPER, Look
from fleet.pictures.plots.plot import (
    Axis,
    Band,
    Column,
    Columns,
    Layer,
    Line,
    Plot,
    Points,
    Ribbon,
    Steps,
    Stretch,
    Target,
)
from fleet.pictures.plots.ticks import Tick, date_ticks, day_of, nice_ticks, number

__all__ = [
    "NARROW",
    "PAGE",
    "PAPER",
    "SIZES",
    "WIDE",
    "Axis",
    "Band",
    "Column",
    "Columns",
    "Gauge",
    "Lane",
    "Layer",
    "Life",
    "Line",
    "Look",
    "Plot",
    "Points",
    "Reading",
    "Ribbon",
    "Sign",
    "Size",
    "Stay",
    "Steps",
    "Stretch",
    "Target",
    "Tick",
    "date_ticks",
    "day_of",
    "draw",
    "draw_life",
    "nice_ticks",
    "number",
]
