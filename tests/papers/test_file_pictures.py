"""Pictures of the vehicle's file: toe, the years, the joints' lives, each of its own day."""

from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from fleet.operations.alignment_specs import NewAlignment, Sides, set_alignment
from fleet.operations.holds import Check, lift_hold, place_hold
from fleet.operations.meters import Reading, record_meter
from fleet.operations.repair import Entry, record_line
from fleet.papers import reports
from fleet.papers.vehicle_tables import Sections
from fleet.pictures.plots import Band, Life, Plot, Points, day_of
from fleet.reads.cut import HAPPENED, KNOWN
from fleet.reads.reports.record_pictures import RecordPictures, record_pictures
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.papers.conftest import Record, alternates, reader_of, structure, words_of
from tests.papers.test_as_it_stood import day, late_sheet

OVER_TIME = "drawn over time. The tables of this file have its figures."


@pytest.fixture
def lived(house: House) -> House:
    """Found moved, mended with toe set, and looked at again."""
    house.later(days=1)
    house.moved()
    house.later(days=1)
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    house.later(days=20)
    house.tight()
    return house


def drawn(sections: Sections) -> RecordPictures:
    return record_pictures(sections.record, sections.units, sections.today)


def lanes(life: Life | None) -> dict[str, Any]:
    assert life is not None
    return {lane.name: lane for lane in life.lanes}


def toes(plot: Plot | None) -> list[tuple[date, float]]:
    """Every reading of the plot: its day and its inches."""
    assert plot is not None
    found = [place for one in plot.layers if isinstance(one, Points) for place in one.points]
    return sorted((date.fromordinal(int(x)), round(y, 4)) for x, y in found)


def pdf(house: House, sections: Sections) -> bytes:
    return reports.record_file(sections, "pdf", reader_of(house, sections.units)).content


def test_each_picture_has_its_words_and_its_table_is_still_there(
    lived: House, record: Record
) -> None:
    made = pdf(lived, record())
    heard = [text for text in alternates(made) if OVER_TIME in text]
    assert [text.split(",")[0] for text in heard] == [
        "What happened", "Toe over time", "Track bar",
    ]  # fmt: skip
    words = words_of(made)
    for told in (
        "2 looks since 2026, 1 found something, 0 complaints, 1 ticket",
        "Toe was out of its band at 1 of 2 readings; the last one, 1/16 in",
        "Track bar, frame end. Looked at 2 times, found loose once",
        "Behind, as read", "46 1/4", "Record of inspections", "Times found loose",
    ):  # fmt: skip
        assert told in words, told


def test_the_document_stays_tagged_and_captions_are_captions(lived: House, record: Record) -> None:
    root: Any = PdfReader(BytesIO(pdf(lived, record()))).trailer["/Root"]
    assert b"pdfuaid:part" in root["/Metadata"].get_data()
    assert {"/Figure", "/Caption"} <= set(structure(root["/StructTreeRoot"]))


def test_a_vehicle_of_which_nothing_is_known_has_no_picture_over_time(
    house: House, record: Record
) -> None:
    assert drawn(record()) == RecordPictures(None, None, [])
    assert not [text for text in alternates(pdf(house, record())) if OVER_TIME in text]


def test_a_joint_is_drawn_when_things_happened_on_more_than_one_day(
    house: House, record: Record
) -> None:
    for _turn in range(3):
        house.later(days=5)
        house.tight()
    assert drawn(record()).joints == [], "looks that found it sound are no event"
    house.later(days=5)
    house.moved()
    assert drawn(record()).joints == []
    house.later(days=5)
    house.moved()
    [(joint, life)] = drawn(record()).joints
    assert joint.name == "Track bar, frame end"
    assert len(lanes(life)["Found"].signs) == 5


def test_a_file_of_a_past_day_draws_nothing_that_came_later(house: House, record: Record) -> None:
    house.later(days=1)
    house.moved()
    house.later(days=1)
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    then = day(house)
    before = drawn(record(until=then))
    house.later(days=9)
    record_meter(house.technician, Reading(house.vehicle.pk, "48,900"), at=house.now)
    house.moved()
    house.later(days=1)
    place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now)
    after = drawn(record(until=then))
    assert (after.toe, after.joints) == (before.toe, before.joints)
    assert after.years == before.years
    assert drawn(record()).joints != before.joints


def test_a_hold_lifted_later_still_held_then(house: House, record: Record) -> None:
    placed = place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row
    then = day(house)
    house.later(days=2)
    lift_hold(house.manager, placed.pk, Check(dry_steer=True, note="Seen."), at=house.now)
    [stay] = lanes(drawn(record(until=then)).years)["Held"].stays
    assert (stay.act, stay.end) == (True, day_of(then))
    [stay] = lanes(drawn(record()).years)["Held"].stays
    assert (stay.act, stay.end - stay.begin) == (False, 2)


def test_a_ticket_closed_later_was_open_then(house: House, record: Record) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    house.later(days=1)
    then = day(house)
    house.later(days=3)
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    for days, length in (({"until": then}, 1.0), ({}, 4.0)):
        [stay] = lanes(drawn(record(**days)).years)["Tickets"].stays
        assert stay.end - stay.begin == length, days


def test_a_sheet_that_came_late_is_drawn_only_where_what_happened_is_asked_for(
    house: House, record: Record
) -> None:
    house.later(days=2)
    house.tight()
    then, evening = day(house), house.now + timedelta(hours=2)
    house.later(days=3)
    late_sheet(house, "moved", evening)
    shapes = {
        basis: sorted(sign.shape for sign in
                      lanes(drawn(record(until=then, basis=basis)).years)["Looks"].signs)
        for basis in (KNOWN, HAPPENED)
    }  # fmt: skip
    assert shapes == {KNOWN: ["tick"], HAPPENED: ["moved", "tick"]}


def set_toe(house: House, **typed: str) -> Any:
    ticket = house.ticket(("set_toe", None))
    return house.record(house.line(ticket, "set_toe"), {**SET_TOE, **typed})


def test_a_toe_recorded_again_later_is_drawn_as_it_was_known_then(
    house: House, record: Record
) -> None:
    entry = set_toe(house)
    then = day(house)
    house.later(days=1)
    again = Entry(entry.line_id, {**SET_TOE, "left_front": "46 1/8"})
    record_line(house.technician, again, at=house.now)
    assert toes(drawn(record(until=then)).toe) == [(then, 0.0625), (then, 0.1875)]
    assert 0.125 in [toe for _day, toe in toes(drawn(record()).toe)]


def set_spec(house: House, low: str, high: str) -> None:
    new = NewAlignment(house.vehicle.design_id, toe=Sides(low, high, "Bulletin 12, invented"))
    set_alignment(house.manager, new, at=house.now)


def test_the_band_is_that_of_its_day(house: House, record: Record) -> None:
    """The design's own figure in the reference data is 0 to 3.2 mm, invented."""
    set_toe(house)
    then = day(house)
    house.later(days=5)
    set_spec(house, "1/4", "3/8")
    assert bands(drawn(record(until=then)).toe) == [(0.0, 0.126)]
    assert bands(drawn(record()).toe) == [(0.0, 0.126), (0.25, 0.375)]


def bands(plot: Plot | None) -> list[tuple[float, float]]:
    assert plot is not None
    return [(round(s.low, 4), round(s.high, 4)) for one in plot.layers if isinstance(one, Band)
            for s in one.stretches]  # fmt: skip
