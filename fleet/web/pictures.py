"""The plot of an answer as a picture of the page."""

from fleet.pictures import plots
from fleet.reads.reckoning.answers import Line, Plot


def picture_of(plot: Plot, section: str) -> plots.Plot:
    """Draw a plot of an answer; `section` makes its key one of its own on the page.

    A spectrum's power has no figures beside it: the table has them.
    """
    named = [text for _at, text in plot.named]
    layers: list[plots.Layer] = [_line(line) for line in plot.lines]
    if plot.dots:
        layers.append(plots.Points(plot.dots))
    return plots.Plot(
        key=f"{section}-{plot.key}",
        name=plot.title,
        says=f"{', '.join([plot.title, *named])}.",
        x=plots.Axis(plot.across, low=0.0),
        y=plots.Axis(plot.upward, low=0.0, show=plots.number if plot.dots else _unsaid),
        layers=layers,
        events=plot.named,
    )


def _line(line: Line) -> plots.Line:
    return plots.Line(line.points, line.name, kind="guide" if line.name else "line")


def _unsaid(_value: float) -> str:
    return ""
