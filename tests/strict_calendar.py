"""A strict reader of iCalendar, by the letter of RFC 5545: what it can't read is an error.

It knows what our feeds may hold and no more, so that anything else is noticed.
"""

import re
from dataclasses import dataclass, field
from datetime import date, datetime

# 3.1: a content line is name, parameters, value; folded at 75 octets, ended by CRLF.
MOST_OCTETS = 75
NAME = re.compile(r"[A-Za-z0-9-]+")
# 3.3.11: what a text may hold as it is (TSAFE-CHAR) and what it must escape.
TEXT = re.compile(r'(?:[^\x00-\x1f\x7f";:\\,]|[":]|\\[\\;,Nn]|\t)*')
# 3.3.4, 3.3.5 form 2 (UTC), 3.3.6, 3.3.8.
DATE = re.compile(r"\d{8}")
UTC = re.compile(r"\d{8}T\d{6}Z")
DURATION = re.compile(r"[+-]?P(?:\d+W|(?:\d+D)?(?:T(?:\d+H)?(?:\d+M)?(?:\d+S)?)?)")
WHOLE = re.compile(r"[+-]?\d+")
# 3.3.13 and RFC 3986: an address is not a text and is escaped otherwise.
URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:[!-~]+")

KINDS = {
    "PRODID": TEXT, "VERSION": TEXT, "CALSCALE": TEXT, "UID": TEXT, "NAME": TEXT,
    "DESCRIPTION": TEXT, "SUMMARY": TEXT, "LOCATION": TEXT, "STATUS": TEXT, "TRANSP": TEXT,
    "X-WR-CALNAME": TEXT, "X-WR-CALDESC": TEXT, "X-PUBLISHED-TTL": DURATION,
    "REFRESH-INTERVAL": DURATION, "LAST-MODIFIED": UTC, "DTSTAMP": UTC, "DTSTART": DATE,
    "DTEND": DATE, "SEQUENCE": WHOLE, "URL": URI,
}  # fmt: skip
# RFC 7986 5.7 makes the parameter a must; 3.8.2.4 and 3.8.2.2 where the value is a day.
PARAMETERS = {"REFRESH-INTERVAL": "VALUE=DURATION", "DTSTART": "VALUE=DATE", "DTEND": "VALUE=DATE"}
# 3.6: of a calendar, exactly once; 3.6.1: of an event, exactly once (DTSTART since no METHOD).
CALENDAR_MUST = {"PRODID", "VERSION"}
EVENT_MUST = {"UID", "DTSTAMP", "DTSTART"}


class NotStrict(Exception):
    """What the RFC does not allow, and where."""


@dataclass
class Component:
    name: str
    values: dict[str, str] = field(default_factory=dict)
    inside: list["Component"] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A text with its escapes undone (3.3.11)."""
        return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "Nn" else m[1], self.values[name])

    def day(self, name: str = "DTSTART") -> date:
        return datetime.strptime(self.values[name], "%Y%m%d").date()  # noqa: DTZ007  (a day)


def read(data: bytes) -> Component:
    """The calendar in these bytes. Raises NotStrict."""
    top = Component("")
    open_now = [top]
    for line in _unfolded(data):
        name, parameters, value = _split(line)
        if name == "BEGIN":
            open_now.append(Component(value))
            open_now[-2].inside.append(open_now[-1])
        elif name == "END":
            done = open_now.pop()
            _must(done.name == value, f"{value} ends, {done.name} was open")
            _whole(done)
        else:
            _keep(open_now[-1], name, parameters, value)
    _must(open_now == [top] and len(top.inside) == 1, "not one calendar, begun and ended")
    return top.inside[0]


def _unfolded(data: bytes) -> list[str]:
    _must(data.endswith(b"\r\n"), "the last line is not ended by CRLF (3.1)")
    lines: list[bytes] = []
    for line in data[:-2].split(b"\r\n"):
        _must(b"\n" not in line and b"\r" not in line, f"a bare line break: {line!r} (3.1)")
        _must(len(line) <= MOST_OCTETS, f"longer than 75 octets: {line!r} (3.1)")
        _must(line != b"", "an empty line (3.1)")
        if line.startswith((b" ", b"\t")):
            _must(bool(lines), "the first line continues nothing (3.1)")
            lines[-1] += line[1:]
        else:
            lines.append(line)
        # Some readers take each line by itself: no sign is torn (3.1 warns of it).
        line.decode("utf-8")
    return [line.decode("utf-8") for line in lines]


def _split(line: str) -> tuple[str, str, str]:
    head, colon, value = line.partition(":")
    name, _semicolon, parameters = head.partition(";")
    _must(bool(colon) and NAME.fullmatch(name) is not None, f"no name and value: {line!r} (3.1)")
    return name.upper(), parameters, value


def _keep(to: Component, name: str, parameters: str, value: str) -> None:
    _must(name in KINDS, f"{name} is not known here")
    _must(parameters == PARAMETERS.get(name, ""), f"{name};{parameters} is not as it must be")
    _must(KINDS[name].fullmatch(value) is not None, f"{name} can't be {value!r}")
    _must(name not in to.values, f"{name} stands twice (3.6)")
    to.values[name] = value


def _whole(done: Component) -> None:
    must = {"VCALENDAR": CALENDAR_MUST, "VEVENT": EVENT_MUST}.get(done.name)
    _must(must is not None, f"{done.name} is not known here")
    _must((must or set()) <= set(done.values), f"{done.name} lacks {must} (3.6)")
    if done.name == "VCALENDAR":
        _must(done.values["VERSION"] == "2.0", "VERSION (3.7.4)")
        # 3.8.4.7: one UID a component, where nothing recurs.
        uids = [each.values["UID"] for each in done.inside]
        _must(len(uids) == len(set(uids)), "a UID stands twice (3.8.4.7)")
    else:
        _must(done.values["STATUS"] in ("TENTATIVE", "CONFIRMED", "CANCELLED"), "STATUS (3.8.1.11)")
        _must(done.values["TRANSP"] in ("OPAQUE", "TRANSPARENT"), "TRANSP (3.8.2.7)")
        # 3.6.1, 3.8.2.2: later than the start, which it does not reach.
        _must(done.day("DTEND") > done.day("DTSTART"), "DTEND is not later (3.8.2.2)")


def _must(holds: bool, said: str) -> None:
    if not holds:
        raise NotStrict(said)
