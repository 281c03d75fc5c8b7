"""How a part of a picture is told to look: by classes on a page, by attributes on paper.

On a page `fleet/web/static/web/plots.css` gives each class its color, day and night. A picture
that stands alone (in a document, black on white) gets presentation attributes instead.
"""

from collections.abc import Mapping
from dataclasses import dataclass

_LINE = {"fill": "none", "stroke": "#000", "stroke-linejoin": "round"}
_PLAIN: Mapping[str, Mapping[str, str]] = {
    "axis": {"fill": "none", "stroke": "#000", "stroke-width": "1"},
    "grid": {"fill": "none", "stroke": "#ccc", "stroke-width": "0.6"},
    "band": {"fill": "#e6e6e6"},
    "edge": {"fill": "none", "stroke": "#777", "stroke-width": "0.8"},
    "line": {**_LINE, "stroke-width": "1.8"},
    "guide": {**_LINE, "stroke": "#666", "stroke-width": "1.4", "stroke-dasharray": "5 3"},
    "link": {**_LINE, "stroke": "#888", "stroke-width": "1"},
    "target": {**_LINE, "stroke-width": "1", "stroke-dasharray": "2 3"},
    "event": {**_LINE, "stroke": "#555", "stroke-width": "0.8", "stroke-dasharray": "1 3"},
    "dot": {"fill": "#000", "stroke": "#000", "stroke-width": "1.6"},
    "ring": {"fill": "#fff", "stroke": "#000", "stroke-width": "1.6"},
    "bar": {"fill": "#999", "stroke": "#000", "stroke-width": "0.6"},
    "mark": {"fill": "none", "stroke": "#000", "stroke-linecap": "round"},
    "text": {"fill": "#000"},
    "text-soft": {"fill": "#444"},
    "text-strong": {"fill": "#000", "font-weight": "bold"},
}
_FONT = "Liberation Sans, Arial, sans-serif"


@dataclass(frozen=True, slots=True)
class Look:
    """`of` gives an element's attributes; `plain` is for paper."""

    plain: bool = False

    def of(self, part: str, act: bool = False) -> dict[str, str]:
        """A part of a picture. With `act` it says that a person must act; on paper the shape
        alone says so."""
        if self.plain:
            return dict(_PLAIN[part])
        return {"class": f"trace-{part} trace-act" if act else f"trace-{part}"}

    def over(self, part: str) -> dict[str, str]:
        """Words that may come to stand over a line: a little paper is kept round them."""
        if self.plain:
            paper = {"stroke": "#fff", "stroke-width": "3", "paint-order": "stroke"}
            return {**_PLAIN[part], **paper}
        return {"class": f"trace-{part} trace-over"}

    @property
    def root(self) -> dict[str, str]:
        """What the picture as a whole is made with."""
        return {"font-family": _FONT} if self.plain else {}


PAGE = Look()
PAPER = Look(plain=True)
