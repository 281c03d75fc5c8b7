"""Figures, words and elements as SVG has them.

Elements are the standard library's: they escape every word that is put into them and can't be
written other than well-formed.
"""

from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

# Widths in ems of a wide sans-serif face: a picture can't know which one it will be seen in.
_LETTER, _SLIM, _BROAD = 0.62, 0.36, 0.95
_SLIM_ONES, _BROAD_ONES = frozenset("iljtf.,:;'|!()[]/ ·"), frozenset("mwMW%@—")
Element = ET.Element
Elements = list[ET.Element]


def place(value: float) -> str:
    """A coordinate to a tenth of a unit, as short as it can be written.

    >>> place(12.04), place(-0.04), place(3.55)
    ('12', '0', '3.5')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def words(text: str) -> str:
    r"""Text for a picture: what a person typed may be in it, and XML knows no control letters.

    >>> words("track bar\x08, frame end")
    'track bar, frame end'
    """
    return "".join(letter for letter in text if letter >= " ")


def width_of(text: str, size: float) -> float:
    """About how wide a text is, in the units of `size`; rather too wide than too narrow."""
    slim = sum(letter in _SLIM_ONES for letter in text)
    broad = sum(letter in _BROAD_ONES for letter in text)
    rest = len(text) - slim - broad
    return size * (_LETTER * rest + _SLIM * slim + _BROAD * broad)


def element(
    tag: str, look: Mapping[str, str], children: Sequence[ET.Element] = (), said: str = ""
) -> ET.Element:
    """One element with its attributes, its children and its words."""
    made = ET.Element(tag, dict(look))
    made.text = words(said) or None
    made.extend(children)
    return made


def traced(d: str, look: Mapping[str, str]) -> ET.Element:
    """A path; `d` is what it runs along."""
    return element("path", {"d": d, **look})


def text_at(
    x: float, y: float, said: str, look: Mapping[str, str], anchor: str = "start"
) -> ET.Element:
    """Words at a place; `anchor` is "start", "middle" or "end"."""
    where = {"x": place(x), "y": place(y)}
    if anchor != "start":
        where["text-anchor"] = anchor
    return element("text", {**where, **look}, said=said)


def written(root: ET.Element) -> str:
    """The picture as text."""
    return ET.tostring(root, encoding="unicode")
