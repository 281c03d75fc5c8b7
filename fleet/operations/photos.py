"""Photos from tablets: whose they are, what they are of, and kept once however often sent."""

import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Taken, refuse
from fleet.operations.image_file import NoPicture, Picture, read_picture
from fleet.operations.once import Request
from fleet.operations.photo_files import keep_file
from fleet.operations.signing import signed
from fleet.operations.work import Done, Work, find, not_there, run
from fleet.reads.rules import rules
from fleet.records.models import Joint, Photo, Tablet, TabletKey, Ticket, Vehicle


@dataclass(frozen=True)
class NewPhoto:
    """The bytes as they came, and what the photo is of.

    `about` is a ticket's number, or the uid of a ticket, an operation, an inspection, a finding
    or an entry; empty where only the vehicle and the joint say it.
    """

    uid: UUID
    data: bytes
    vehicle: str
    about: str = ""
    joint_id: int | None = None
    occurred_at: datetime | None = None

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Signed:
    """Who took it, by what key, at what moment of the tablet's clock."""

    person: int
    key: UUID
    made_at: str
    mac: str


def signature(secret: bytes, new: NewPhoto, made_at: str) -> str:
    """HMAC-SHA-256 (RFC 2104) over the photo's identity and bytes, and over what it is of."""
    joint = "" if new.joint_id is None else str(new.joint_id)
    return signed(secret, *_identity(new, made_at), new.vehicle, joint)


def signature_before(secret: bytes, new: NewPhoto, made_at: str) -> str:
    """As tablets signed it that left out vehicle and joint: they can still send what they hold."""
    return signed(secret, *_identity(new, made_at))


def _identity(new: NewPhoto, made_at: str) -> tuple[str, str, str, str]:
    return str(new.uid), made_at, new.about, new.sha256


def _is_true(secret: bytes, new: NewPhoto, by: Signed) -> bool:
    known = (sign(secret, new, by.made_at) for sign in (signature, signature_before))
    return any(hmac.compare_digest(mac, by.mac) for mac in known)


def take_photo(tablet: Tablet, new: NewPhoto, signed: Signed, *, at: datetime) -> Done[Photo]:
    """One photo as a tablet sends it. Raises Refused, and Taken where its uid is another's."""
    keys = TabletKey.objects.select_related("person").filter(tablet=tablet, uid=signed.key)
    key = keys.filter(person=signed.person).first()
    if key is None or not _is_true(bytes(key.secret), new, signed):
        message = _("The signature is not this person's on this tablet.")
        raise refuse("signature_wrong", message)
    if not key.person.is_active:
        message = _("%(who)s has left: a manager looks at it first.") % {"who": key.person.name}
        raise refuse("person_left", message)
    actor = Actor(key.person, "tablet", tablet)
    return add_photo(actor, new, at=at, request=Request(f"photo:{new.uid}", new.sha256))


def corrected(made_at: datetime, offset_ms: int | None, at: datetime) -> datetime:
    """A tablet's moment by our clock, and never one to come."""
    return min(made_at + timedelta(milliseconds=offset_ms or 0), at)


def add_photo(
    actor: Actor, new: NewPhoto, *, at: datetime, request: Request | None = None
) -> Done[Photo]:
    """Keep one photo of a vehicle within the person's yards."""
    actor.need("inspect")
    known = Photo.objects.filter(uid=new.uid).first()
    if known is not None:
        return _again(known, new)
    picture = _read(new.data)
    return run("add_photo", actor, at, lambda work: _apply(work, new, picture), request)


def _again(known: Photo, new: NewPhoto) -> Done[Photo]:
    if known.sent_sha256 != new.sha256:
        message = _("Another photo has this uid. Nothing of this one was taken.")
        raise Taken((Problem("uid_taken", message, field="uid"),))
    return Done(known, replayed=True)


def _read(data: bytes) -> Picture:
    try:
        return read_picture(data)
    except NoPicture:
        message = _("This is no JPEG, PNG or WebP photo, or only a part of one. Take it again.")
        raise refuse("no_picture", message) from None


def _apply(work: Work, new: NewPhoto, picture: Picture) -> Photo:
    vehicle = Vehicle.visible_to(work.actor.person).filter(unit_number=new.vehicle).first()
    if vehicle is None:
        raise not_there(_("vehicle"))
    ticket, about = _named(work.actor, vehicle, new.about)
    joint = _joint(work.actor, vehicle, new.joint_id)
    keeps_place = _keeps_place()
    data = new.data if keeps_place else picture.plain
    sha256 = hashlib.sha256(data).hexdigest()
    keep_file(sha256, data)
    row = Photo.objects.create(
        **work.fact(new.occurred_at, new.uid), vehicle=vehicle, ticket=ticket, about=about,
        joint=joint, sha256=sha256, sent_sha256=new.sha256, kind=picture.kind, size=len(data),
        width=picture.width, height=picture.height, place_removed=not keeps_place,
    )  # fmt: skip
    work.trail("add_photo", row, vehicle=vehicle, after={"sha256": sha256})
    return row


def _keeps_place() -> bool:
    """A fleet that was set up before there were photos has no such setting."""
    found = rules("setting").get("photo_place")
    return found is not None and found.data["value"] is True


def _named(actor: Actor, vehicle: Vehicle, about: str) -> tuple[Ticket | None, UUID | None]:
    """A number is a ticket that is here; a uid may name what is not here yet."""
    if not about:
        return None, None
    if about.isdecimal():
        ticket = find(Ticket, actor, int(about), _("ticket"))
        if ticket.vehicle_id != vehicle.pk:
            raise not_there(_("ticket"))
        return ticket, None
    try:
        return None, UUID(about)
    except ValueError:
        raise not_there(_("ticket")) from None


def _joint(actor: Actor, vehicle: Vehicle, joint_id: int | None) -> Joint | None:
    if joint_id is None:
        return None
    joint = find(Joint, actor, joint_id, _("joint"))
    if joint.vehicle_id != vehicle.pk:
        raise not_there(_("joint"))
    return joint
