"""Photos from tablets: kept once, whole, without their place, for whoever may see the vehicle."""

import base64
import hashlib
import hmac
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from PIL import Image
from rest_framework.test import APIClient
from uuid6 import uuid7

from fleet.operations import tablets
from fleet.records.models import Photo, Rule, Tablet, Ticket
from tests import build, people
from tests.camera import CAMERA, jpeg, saved
from tests.operations.conftest import House, make_house
from tests.shop_tablets import a_tablet, hand
from tests.tablets import FarTablet, Hand

MADE_AT = "2026-09-01T14:30:05.120Z"


@pytest.fixture
def house(db: None) -> Iterator[House]:
    made = make_house()
    with time_machine.travel(made.now, tick=False):
        yield made


@pytest.fixture
def bay(house: House) -> FarTablet:
    return a_tablet(house)


@pytest.fixture
def technician(house: House, bay: FarTablet) -> Hand:
    return hand(bay, house.technician.person)


def send(
    bay: FarTablet, who: Hand, data: bytes, *, kind: str = "image/jpeg", uid: str = "",
    about: str = "", signed: bytes | None = None, of: tuple[str, ...] | None = None, **said: Any,
) -> Any:  # fmt: skip
    """A photo over the wire; `signed` stands for other bytes that the signature was made of.

    `of` stands for the vehicle and joint that were signed; tablets of before signed neither: ().
    """
    uid = uid or str(uuid7())
    digest = hashlib.sha256(data if signed is None else signed).hexdigest()
    if of is None:
        of = (unquote(said.get("vehicle", "A-101")), str(said.get("joint", "")))
    text = "\n".join([uid, MADE_AT, about, digest, *of])
    mac = base64.urlsafe_b64encode(hmac.digest(who.key, text.encode(), "sha256")).rstrip(b"=")
    headers = {
        "Authorization": f"Tablet {bay.token}", "Photo-Uid": uid, "Photo-Person": str(who.person),
        "Photo-Key": who.key_id, "Photo-Made-At": MADE_AT, "Photo-About": about,
        "Photo-Vehicle": "A-101", "Photo-Mac": mac.decode(),
        **{f"Photo-{name.title()}": str(value) for name, value in said.items()},
    }  # fmt: skip
    path = "/api/v1/tablet/photos/"
    return APIClient().post(path, data, content_type=kind, headers=headers)


def problems(answer: Any) -> tuple[int, set[str]]:
    return answer.status_code, {one["code"] for one in answer.json()["problems"]}


def files() -> list[Path]:
    return [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]


def test_a_photo_is_kept_once_however_often_it_is_sent(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    uid, joint = str(uuid7()), house.joint()
    first = send(bay, technician, jpeg("navy"), uid=uid, joint=joint.pk, vehicle="A%2D101")
    again = send(bay, technician, jpeg("navy"), uid=uid, joint=joint.pk)
    assert (first.status_code, again.status_code) == (201, 200), first.json()
    row = Photo.objects.get()
    assert (str(row.uid), row.by, row.joint) == (uid, house.technician.person, joint)
    assert (row.width, row.height, row.kind) == (24, 16, "image/jpeg")
    assert row.occurred_at.isoformat() == "2026-09-01T14:30:05.120000+00:00"
    assert first.json() == again.json()


def test_the_same_picture_under_another_uid_is_one_file(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    before = len(files())
    for _time in range(2):
        assert send(bay, technician, jpeg("olive")).status_code == 201
    assert Photo.objects.count() == 2
    assert len(files()) == before + 1
    assert {path.suffix for path in files()} == {""}


def test_another_picture_under_the_same_uid_is_refused(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    uid = str(uuid7())
    send(bay, technician, jpeg("red"), uid=uid)
    answer = send(bay, technician, jpeg("blue"), uid=uid)
    assert problems(answer) == (409, {"uid_taken"})
    assert Photo.objects.count() == 1


def test_bytes_that_the_signature_was_not_made_of_are_refused(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    answer = send(bay, technician, jpeg("red"), signed=jpeg("blue"))
    assert problems(answer) == (422, {"signature_wrong"})
    assert not Photo.objects.exists()


def test_vehicle_and_joint_are_those_that_were_signed(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    joint = house.joint().pk
    for of in (("A-102", str(joint)), ("A-101", str(joint + 1)), ("A-101", "")):
        answer = send(bay, technician, jpeg(), joint=joint, of=of)
        assert problems(answer) == (422, {"signature_wrong"})
    assert not Photo.objects.exists()


def test_a_tablet_of_before_can_still_send_what_it_holds(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    assert send(bay, technician, jpeg(), joint=house.joint().pk, of=()).status_code == 201
    assert Photo.objects.get().joint == house.joint()


def test_a_photo_of_no_joint_and_no_work_stands_on_the_vehicles_page(
    house: House, bay: FarTablet, technician: Hand, client: Client
) -> None:
    """Such as one beside a hold of the whole vehicle."""
    uid, at_joint = str(uuid7()), str(uuid7())
    send(bay, technician, jpeg(), uid=uid)
    send(bay, technician, jpeg("navy"), uid=at_joint, joint=house.joint().pk)
    client.force_login(house.manager.person)
    page = client.get("/vehicles/A-101/").text
    assert f"/photos/{uid}/" in page
    assert f"/photos/{at_joint}/" not in page


def test_a_revoked_tablet_sends_no_photos(house: House, bay: FarTablet, technician: Hand) -> None:
    tablets.revoke_tablet(house.manager, Tablet.objects.get().pk, "left behind", at=house.now)
    assert send(bay, technician, jpeg()).status_code == 403


@pytest.mark.parametrize("data", [b"", b"GIF89a" + b"\0" * 40, jpeg()[:-40]])
def test_what_is_no_whole_picture_is_refused(
    house: House, bay: FarTablet, technician: Hand, data: bytes
) -> None:
    assert problems(send(bay, technician, data)) == (422, {"no_picture"})


def test_a_photo_that_is_too_large_is_not_read(
    house: House, bay: FarTablet, technician: Hand, settings: Any
) -> None:
    settings.PHOTO_MAX_BYTES = 100
    assert send(bay, technician, jpeg()).status_code == 413


def test_json_is_no_photo(house: House, bay: FarTablet, technician: Hand) -> None:
    assert send(bay, technician, b"{}", kind="application/json").status_code == 415


@pytest.mark.parametrize("name", ["uid", "made-at", "joint", "person"])
def test_a_header_that_can_not_be_read_is_named(
    house: House, bay: FarTablet, technician: Hand, name: str
) -> None:
    answer = send(bay, technician, jpeg(), **dict[str, Any]({name: "?"}))
    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["problems"]] == [name.replace("-", "_")]


def test_a_vehicle_of_another_yard_is_not_there(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    build.vehicle(build.yard("Mesa Tank"), "M-1", design=house.design)
    assert problems(send(bay, technician, jpeg(), vehicle="M-1")) == (404, {"not_there"})


@pytest.mark.parametrize("format_", ["JPEG", "PNG", "WEBP"])
def test_the_place_is_taken_out_unless_the_fleet_wants_it(
    house: House, bay: FarTablet, technician: Hand, format_: str
) -> None:
    data, kind = saved(format_, place=True), Image.MIME[format_]
    send(bay, technician, data, kind=kind)
    Rule.objects.filter(key="photo_place").update(data={"value": True})
    send(bay, technician, data, kind=kind)
    with_place, without = Photo.objects.order_by("-pk")
    assert (without.place_removed, with_place.place_removed) == (True, False)
    assert CAMERA.encode() not in read(house, without)
    assert read(house, with_place) == data
    assert Image.open(BytesIO(read(house, without))).size == (24, 16)


def read(house: House, row: Photo) -> bytes:
    client = Client()
    client.force_login(house.technician.person)
    answer: Any = client.get(f"/photos/{row.uid}/")
    return b"".join(answer.streaming_content)


def test_the_file_goes_out_as_nothing_but_a_picture(
    house: House, bay: FarTablet, technician: Hand, client: Client
) -> None:
    uid = str(uuid7())
    send(bay, technician, jpeg(), uid=uid)
    client.force_login(house.technician.person)
    answer = client.get(f"/photos/{uid}/")
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Content-Disposition"] == "inline"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"].startswith("default-src 'none'")
    assert {"private", "immutable"} <= set(answer["Cache-Control"].split(", "))
    client.force_login(people.stranger(build.yard("Mesa Tank")))
    assert client.get(f"/photos/{uid}/").status_code == 404


def test_a_photo_sent_before_its_sheet_is_shown_once_the_sheet_is_there(
    house: House, bay: FarTablet, technician: Hand, client: Client
) -> None:
    joint = house.joint("track_bar_frame_end")
    finding = str(uuid7())
    found = {"joint": joint.pk, "code": "play", "method": "dry_steer", "uid": finding}
    sheet = bay.does(technician, "record_inspection", {
        "vehicle": "A-101", "kind": "routine", "at_wheel": "a helper", "findings": [found],
    })  # fmt: skip
    shown = {send(bay, technician, jpeg(colour), about=about).json()["uid"]
             for colour, about in (("red", finding), ("blue", sheet))}  # fmt: skip
    [result] = bay.sync()
    client.force_login(house.technician.person)
    page = client.get(f"/inspections/{result['made']['id']}/").content.decode()
    assert {uid for uid in shown if f'src="/photos/{uid}/" width="24" height="16"' in page} == shown
    ticket = Ticket.objects.get()
    assert photos_on(client, f"/tickets/{ticket.pk}/") == 1
    assert photos_on(client, f"/vehicles/A-101/joints/{joint.pk}/") == 1


def test_a_photo_of_a_ticket_is_shown_there(
    house: House, bay: FarTablet, technician: Hand, client: Client
) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    for colour, about in (("red", str(ticket.pk)), ("blue", str(ticket.uid))):
        assert send(bay, technician, jpeg(colour), about=about).status_code == 201
    client.force_login(house.technician.person)
    assert photos_on(client, f"/tickets/{ticket.pk}/") == 2


def photos_on(client: Client, path: str) -> int:
    return client.get(path).content.decode().count('loading="lazy"')
