"""A picture read back: its elements, its paths and the figures they were drawn from."""

import re
from xml.etree import ElementTree as ET

from fleet.pictures.plots.frame import Frame

SVG = "{http://www.w3.org/2000/svg}"


def read(text: str) -> ET.Element:
    """Parse a picture; what is not well-formed raises."""
    return ET.fromstring(text)  # noqa: S314 - drawn by us


def of_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [one for one in root.iter() if name in one.get("class", "").split()]


def path_of(root: ET.Element, name: str) -> str:
    """The path of the one element of a class."""
    [found] = of_class(root, name)
    return found.attrib["d"]


def words(root: ET.Element) -> list[str]:
    return [one.text or "" for one in root.iter(f"{SVG}text")]


def corners(path: str) -> list[tuple[float, float]]:
    """Each corner of a path of M, H and V, as a place in the picture."""
    x = y = 0.0
    found = []
    for command, figures in re.findall(r"([MHV])([-\d. ]+)", path):
        numbers = [float(one) for one in figures.split()]
        if command == "M":
            x, y = numbers
        elif command == "H":
            x = numbers[0]
        else:
            y = numbers[0]
        found.append((x, y))
    return found


def value(frame: Frame, place: tuple[float, float]) -> tuple[float, float]:
    """The figures of a place: the scales the other way round."""
    x, y = frame.x, frame.y
    return (
        x.low + (place[0] - x.start) / (x.end - x.start) * (x.high - x.low),
        y.low + (place[1] - y.start) / (y.end - y.start) * (y.high - y.low),
    )
