"""A calendar of what is owed, as iCalendar (RFC 5545, with names of RFC 7986).

It names no METHOD: it is a calendar and no message about one (RFC 5546 is for those), so DTSTAMP
says when an event last changed (RFC 5545, 3.8.7.2), and the same calendar is the same bytes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from icalendar import Calendar, Event, vText

MEDIA_TYPE = "text/calendar; charset=utf-8"
MAKER = "-//Axlekeep//What is owed//EN"
# How often a calendar should look again (own): a plan seldom changes within the hour.
LOOK_AGAIN = "PT1H"


@dataclass(frozen=True)
class About:
    """The calendar itself."""

    uid: UUID
    name: str
    text: str
    changed_at: datetime


@dataclass(frozen=True)
class DayEvent:
    """Something of one whole day; a day has no time zone (RFC 5545, 3.3.4)."""

    uid: UUID
    day: date
    sequence: int
    changed_at: datetime
    cancelled: bool
    summary: str
    text: str = ""
    place: str = ""
    url: str = ""


def calendar(about: About, events: Iterable[DayEvent]) -> bytes:
    """The calendar file."""
    made = Calendar()
    made.add("prodid", MAKER)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("uid", str(about.uid))
    made.add("last-modified", about.changed_at)
    # As RFC 7986 names them, and as older programs do; both are texts, to be escaped as such.
    for name in ("name", "x-wr-calname"):
        made.add(name, vText(about.name))
    for name in ("description", "x-wr-caldesc"):
        made.add(name, vText(about.text))
    made.add("refresh-interval", vText(LOOK_AGAIN), parameters={"VALUE": "DURATION"})
    made.add("x-published-ttl", vText(LOOK_AGAIN))
    for event in events:
        made.add_component(_event(event))
    return bytes(made.to_ical())


def _event(event: DayEvent) -> Event:
    made = Event()
    made.add("uid", str(event.uid))
    made.add("dtstamp", event.changed_at)
    made.add("last-modified", event.changed_at)
    made.add("sequence", event.sequence)
    made.add("status", "CANCELLED" if event.cancelled else "CONFIRMED")
    made.add("dtstart", event.day)
    # The day after, which it does not reach (3.6.1).
    made.add("dtend", event.day + timedelta(days=1))
    made.add("summary", event.summary)
    # Nobody's day is full because something falls due on it.
    made.add("transp", "TRANSPARENT")
    for name, value in (("description", event.text), ("location", event.place)):
        if value:
            made.add(name, value)
    if event.url:
        made.add("url", event.url)
    return made
