"""A life along its dates as SVG: one text for each size, for a page or for paper."""

from dataclasses import dataclass
from xml.etree import ElementTree as ET

from fleet.pictures.plots import marks
from fleet.pictures.plots.draw import root
from fleet.pictures.plots.figures import Elements, element, place, text_at, traced, width_of
from fleet.pictures.plots.frame import Scale, Size, span
from fleet.pictures.plots.labels import in_rows
from fleet.pictures.plots.lanes import Gauge, Lane, Life, Sign
from fleet.pictures.plots.layers import FINE
from fleet.pictures.plots.looks import PAGE, Look
from fleet.pictures.plots.ticks import Tick, date_ticks, day_of

_SIGN, _SYMBOL, _BAR = 4.2, 19.0, 9.0
#: Side of the square that a symbol is drawn in.
_SQUARE = 24.0
_LANE, _GAUGE = 30.0, 66.0
_NAMES = 0.27
_MIDDLE = 0.35


@dataclass(frozen=True, slots=True)
class _Row:
    """A lane and where it lies: its own strip, and the height of its name's foot."""

    lane: Lane
    top: float
    bottom: float
    name_y: float

    @property
    def middle(self) -> float:
        return (self.top + self.bottom) / 2


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A life laid out in one size."""

    life: Life
    size: Size
    look: Look
    x: Scale
    rows: list[_Row]
    ticks: list[Tick]
    bottom: float

    @property
    def high(self) -> float:
        return self.bottom + self.size.text * 1.9


def draw_life(life: Life, size: Size, look: Look = PAGE) -> str:
    """Draw a life in one size; see `draw.draw` for what is answered."""
    sheet = _laid_out(life, size, look)
    body: Elements = [*_symbols(sheet), *_axis(sheet), *_ends(sheet)]
    for row in sheet.rows:
        body += _named(row, sheet)
        body += _gauge(row, row.lane.gauge, sheet) if row.lane.gauge else []
        body += [*_stays(row, sheet), *_signs(row, sheet), *_texts(row, sheet)]
    whole = Size(size.name, size.width, sheet.high, size.text, size.across, size.upward)
    return root(life.key, life.name, life.says, whole, look, body)


def _laid_out(life: Life, size: Size, look: Look) -> _Sheet:
    """On a wide sheet a lane's name stands before it, on a narrow one over it."""
    wide = size.name == "wide"
    widest = max(width_of(lane.name, size.text) for lane in life.lanes)
    left = min(widest, size.width * _NAMES) + 14 if wide else 12.0
    y = size.text * (1.7 if any(life.ends) else 0.5)
    rows = []
    for lane in life.lanes:
        top = y if wide else y + size.text * 1.3
        bottom = top + (_GAUGE if lane.gauge else _LANE)
        name_y = (top + bottom) / 2 + size.text * _MIDDLE if wide else top - 2
        rows.append(_Row(lane, top, bottom, name_y))
        y = bottom
    ends = span(day_of(life.first), day_of(life.last))
    ticks = date_ticks(life.first, life.last, size.across)
    return _Sheet(life, size, look, Scale(*ends, left, size.width - 12), rows, ticks, y + 3)


def _axis(sheet: _Sheet) -> Elements:
    left, right, bottom = place(sheet.x.start - 6), place(sheet.size.width - 4), place(sheet.bottom)
    top = place(sheet.rows[0].top)
    turns = "".join(f"M{place(sheet.x(t.at))} {top}V{bottom}" for t in sheet.ticks if t.turn)
    ticks = "".join(f"M{place(sheet.x(t.at))} {bottom}v5" for t in sheet.ticks)
    found: Elements = [traced(turns, sheet.look.of("grid"))] if turns else []
    found.append(traced(f"M{left} {bottom}H{right}{ticks}", sheet.look.of("axis")))
    if sheet.life.today is not None:
        now = f"M{place(sheet.x(sheet.life.today))} {top}V{bottom}"
        found.append(traced(now, sheet.look.of("event")))
    return [*found, *_words_along(sheet)]


def _words_along(sheet: _Sheet) -> Elements:
    size, y = sheet.size.text, sheet.bottom + sheet.size.text * 1.5
    found: Elements = []
    for tick in sheet.ticks:
        half = width_of(tick.text, size) / 2
        x = min(max(sheet.x(tick.at), half), sheet.size.width - half)
        part = sheet.look.of("text" if tick.turn else "text-soft")
        found.append(text_at(x, y, tick.text, part, "middle"))
    return found


def _ends(sheet: _Sheet) -> Elements:
    """The meter at the first and the last day, and the word for today between."""
    soft, y = sheet.look.of("text-soft"), sheet.size.text
    first, last = sheet.life.ends
    at = sheet.x.end if sheet.life.today is None else sheet.x(sheet.life.today)
    found = [text_at(sheet.x.start, y, first, soft)] if first else []
    if last:
        room = sheet.x.start + width_of(first, sheet.size.text) + 10
        wide = width_of(last, sheet.size.text)
        x = max(min(at + wide / 2, sheet.size.width), room + wide)
        found.append(text_at(x, y, last, soft, "end"))
    return found


def _named(row: _Row, sheet: _Sheet) -> Elements:
    wide = sheet.size.name == "wide"
    x = 0.0 if wide else sheet.x.start - 6
    part = "text-soft" if row.lane.is_empty else "text"
    line = f"M{place(sheet.x.start - 6)} {place(row.middle)}H{place(sheet.size.width - 4)}"
    found: Elements = [] if row.lane.gauge else [traced(line, sheet.look.of("grid"))]
    return [*found, text_at(x, row.name_y, row.lane.name, sheet.look.over(part))]


def _stays(row: _Row, sheet: _Sheet) -> Elements:
    found: Elements = []
    for act in (False, True):
        bars = ""
        for stay in row.lane.stays:
            if stay.act is act:
                begin, end = sheet.x(stay.begin), sheet.x(stay.end)
                end = max(end, begin + 2)
                low, high = row.middle - _BAR / 2, row.middle + _BAR / 2
                bars += f"M{place(begin)} {place(low)}H{place(end)}V{place(high)}H{place(begin)}Z"
        if bars:
            found.append(traced(bars, sheet.look.of("bar", act)))
    return found


def _signs(row: _Row, sheet: _Sheet) -> Elements:
    """Shapes of one kind are one path; what a person must act on lies on top."""
    kinds: dict[tuple[bool, str, bool], list[float]] = {}
    for sign in row.lane.signs:
        kinds.setdefault((sign.act, sign.shape, sign.solid), []).append(sheet.x(sign.at))
    found: Elements = []
    for (act, shape, solid), exact in sorted(kinds.items()):
        fine = len(exact) <= FINE
        places = exact if fine else [float(round(x / 2) * 2) for x in exact]
        found += _of_kind(Sign(0, shape, solid, act), places, row.middle, sheet)
    return found


def _of_kind(sign: Sign, places: list[float], y: float, sheet: _Sheet) -> Elements:
    if sign.shape in sheet.life.symbols:
        spots = sorted({round(x, 1) for x in places})
        name = f"#{_symbol_id(sign.shape, sheet)}"
        uses = [element("use", {"href": name, "x": place(x), "y": place(y)}) for x in spots]
        return [element("g", sheet.look.of("mark", sign.act), uses)]
    return [_shape(sign, [(x, y) for x in places], sheet.look)]


def _shape(sign: Sign, places: list[tuple[float, float]], look: Look) -> ET.Element:
    is_line = sign.shape in marks.OPEN
    part = look.of("mark" if is_line else "dot" if sign.solid else "ring", sign.act)
    wide = {"stroke-width": "1.8"} if is_line else {}
    return traced(marks.path_of(sign.shape, places, _SIGN), {**part, **wide})


def _symbols(sheet: _Sheet) -> Elements:
    """Each shape that stands in the picture once, about its middle."""
    used = {sign.shape for row in sheet.rows for sign in row.lane.signs}
    shapes = sorted(used & set(sheet.life.symbols))
    return [element("defs", {}, [_symbol(name, sheet) for name in shapes])] if shapes else []


def _symbol(name: str, sheet: _Sheet) -> ET.Element:
    inside = ET.fromstring(f"<g>{sheet.life.symbols[name]}</g>")  # noqa: S314 - our own shapes
    smaller = f"scale({_SYMBOL / _SQUARE:.2f})"
    return element("g", {"id": _symbol_id(name, sheet), "transform": smaller}, [*inside])


def _symbol_id(name: str, sheet: _Sheet) -> str:
    return f"{sheet.life.key}-{sheet.size.name}-{name}"


def _texts(row: _Row, sheet: _Sheet) -> Elements:
    texts = sorted((sheet.x(at) + _SIGN + 1, text) for at, text in row.lane.texts)
    size, right = sheet.size.text, sheet.size.width
    y = row.middle + size * _MIDDLE
    rows = in_rows(texts, size, right, 1)
    signs = [sheet.x(sign.at) for sign in row.lane.signs]
    return [
        text_at(begin, y, text, sheet.look.over("text-soft"))
        for (nth, begin), (_at, text) in zip(rows, texts, strict=True)
        if nth == 0 and not _covers(begin, begin + width_of(text, size), signs)
    ]


def _covers(begin: float, end: float, signs: list[float]) -> bool:
    """Whether words would stand on a sign: then they are left to the table behind the picture."""
    return any(begin - _SIGN < at < end + _SIGN for at in signs)


def _gauge(row: _Row, gauge: Gauge, sheet: _Sheet) -> Elements:
    """Readings at their height in the lane, over what they were to lie within."""
    y = _height(row, gauge)
    bands = [(sheet.x(s.begin), y(s.high), sheet.x(s.end), y(s.low)) for s in gauge.stretches]
    sides = [tuple(place(side) for side in band) for band in bands]
    fill = "".join(f"M{a} {b}H{c}V{d}H{a}Z" for a, b, c, d in sides)
    edge = "".join(f"M{a} {b}H{c}M{a} {d}H{c}" for a, b, c, d in sides)
    found: Elements = []
    if fill:
        found = [traced(fill, sheet.look.of("band")), traced(edge, sheet.look.of("edge"))]
    kinds: dict[Sign, list[tuple[float, float]]] = {}
    for one in gauge.readings:
        kind = Sign(0, one.shape, one.solid, one.act)
        kinds.setdefault(kind, []).append((sheet.x(one.at), y(one.value)))
    found += [_shape(kind, places, sheet.look) for kind, places in kinds.items()]
    return [*found, *_sides(gauge, y, sheet)]


def _height(row: _Row, gauge: Gauge) -> Scale:
    sides = [side for one in gauge.stretches for side in (one.low, one.high)]
    values = [one.value for one in gauge.readings] + sides
    low, high = span(min(values), max(values))
    return Scale(low, high, row.bottom - 15, row.top + 17)


def _sides(gauge: Gauge, y: Scale, sheet: _Sheet) -> Elements:
    """What the two sides of the last band are, at its end."""
    if not gauge.stretches:
        return []
    last, size = gauge.stretches[-1], sheet.size.text
    over, x = sheet.look.over("text-soft"), sheet.x(last.end)
    found = []
    if gauge.high:
        off = _off(gauge, y, sheet, x - width_of(gauge.high, size), last.high)
        found.append(text_at(x, y(last.high) - 3 - off, gauge.high, over, "end"))
    if gauge.low and y(last.low) - y(last.high) > 1:
        off = _off(gauge, y, sheet, x - width_of(gauge.low, size), last.low)
        found.append(text_at(x, y(last.low) + size * 0.9 + off, gauge.low, over, "end"))
    return found


def _off(gauge: Gauge, y: Scale, sheet: _Sheet, begin: float, side: float) -> float:
    """How much further from its side of the band a figure stands where readings lie on the side."""
    near = (
        abs(y(one.value) - y(side)) < _SIGN + 3 and sheet.x(one.at) > begin - _SIGN
        for one in gauge.readings
    )
    return _SIGN if any(near) else 0.0
