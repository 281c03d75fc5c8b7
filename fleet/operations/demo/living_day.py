"""The demo's last weeks on a few trucks, through the operations as people would have done them.

It opens on a living day: two trucks held (one of them used while held), one ticket waiting for
its second check, one truck apart for 23 days, a joint that has loosened again, and an auditor
who asks for one truck's file.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.operations import (
    complain,
    files,
    fittings,
    inspect,
    looks,
    meters,
    repair,
    tools,
    vehicles,
)
from fleet.operations.actor import Actor
from fleet.operations.demo import people, walk
from fleet.operations.demo.world import typed_torque
from fleet.records.models import (
    FindingCode,
    Joint,
    MeterReading,
    Person,
    Recheck,
    TorqueSpec,
    TorqueTool,
    Vehicle,
)

PIN, SHAKEN, WAITING, APART, AGAIN = "A-103", "C-202", "A-105", "M-303", "A-109"
ASKED_FOR = "C-205"
UNITS = (PIN, SHAKEN, WAITING, APART, AGAIN)
# How far back their made history ends.
WEEKS = timedelta(days=26)
APART_DAYS = 23
MILES_A_DAY = 31


@dataclass(frozen=True)
class Scene:
    """One truck, its meter going on, and the clock of its yard."""

    vehicle: Vehicle
    today: date

    def at(self, days_ago: int, hour: int, minute: int = 0) -> datetime:
        day = self.today - timedelta(days=days_ago)
        zone = ZoneInfo(people.ZONE)
        return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)

    def meter(self, at: datetime, miles: int | None = None) -> str:
        """What the meter says now, at the truck's usual rate unless told how far it went."""
        last = MeterReading.objects.filter(vehicle=self.vehicle).order_by("-occurred_at", "-id")[0]
        gone = (at - last.occurred_at).days * MILES_A_DAY if miles is None else miles
        return f"{int(last.value) + gone:,}"

    def joint(self, kind: str, side: str = "") -> Joint:
        rows = self.vehicle.joints.select_related("kind").filter(kind__code=kind)
        return rows.filter(side=side)[0] if side else rows[0]


def make(today: date, now: datetime) -> None:
    """Play every scene whose truck is in this demo."""
    scenes = {
        vehicle.unit_number: Scene(vehicle, today)
        for vehicle in Vehicle.objects.filter(unit_number__in=UNITS).select_related("yard")
    }
    for unit, play in PLAYS.items():
        if unit in scenes:
            play(scenes[unit])
    asked = Vehicle.objects.filter(unit_number=ASKED_FOR).select_related("yard").first()
    if asked is not None:
        ask(Scene(asked, today))


def ask(scene: Scene) -> None:
    """The county's auditor wants the file of a truck on which more torque did not help."""
    at = scene.at(2, 14, 10)
    wanted = files.Ask(
        scene.vehicle.pk, "Yearly audit: repairs that came back", scene.today + timedelta(days=3),
        since=at.date() - timedelta(days=365 * 3), until=at.date(),
    )  # fmt: skip
    files.ask_for_file(who("auditor"), wanted, at=at)


def who(username: str) -> Actor:
    return Actor(Person.objects.get(username=username), "web")


def _fuel(scene: Scene, *days_ago: int) -> None:
    """The meter as read at the pump."""
    for days in days_ago:
        at = scene.at(days, 16, 40)
        reading = meters.Reading(scene.vehicle.pk, scene.meter(at))
        meters.record_meter(who("fuel-desk"), reading, at=at)


def _sheet(
    scene: Scene, by: str, at: datetime, kind: str, looks_: list[looks.Look], **more: Any
) -> None:
    sheet = inspect.Sheet(
        scene.vehicle.pk, kind, tuple(looks_), on_wheels=True, engine_on=False, ride_height=True,
        meter=scene.meter(at), at_wheel="Cal Ridgemoor", **more,
    )  # fmt: skip
    inspect.record_inspection(who(by), sheet, at=at)


def _pull(
    scene: Scene, joint: Joint, at: datetime, code: str = FindingCode.TIGHT, degrees: str = ""
) -> looks.Look:
    """A wrench at its figure on one joint, with a tool of the yard that is in date."""
    spec = looks.target_specs(scene.vehicle)[joint.kind_id]
    figure, torque = typed_torque(spec)
    tool = _tool(scene, torque, at)
    return looks.Look(joint.pk, code, "wrench", degrees, "", figure, tool.pk,
                      spec.thread_condition)  # fmt: skip


def _tool(scene: Scene, torque: float, at: datetime) -> TorqueTool:
    rows = TorqueTool.objects.filter(yard=scene.vehicle.yard, in_use=True).select_related("yard")
    fit = (tool for tool in rows if tools.in_range(tool, torque) and not tools.doubt(tool, at))
    return next(fit)


def _routine(scene: Scene, by: str, at: datetime) -> None:
    """A whole front end in order; whatever was owed is paid, by a method that suffices."""
    specs = looks.target_specs(scene.vehicle)
    owed: dict[int, list[str]] = {}
    for row in Recheck.objects.filter(vehicle=scene.vehicle, state__in=Recheck.LIVE):
        owed.setdefault(row.joint_id or 0, []).extend(row.methods)
    seen = [
        _sound(scene, joint, at, specs, owed.get(joint.pk, []))
        for joint in scene.vehicle.joints.select_related("kind")
    ]
    _sheet(scene, by, at, "routine", seen)


def _sound(
    scene: Scene, joint: Joint, at: datetime, specs: dict[int, TorqueSpec], owed: list[str]
) -> looks.Look:
    kind = joint.kind
    pulled = kind.code in walk.ALWAYS or "wrench" in owed
    if pulled and joint.kind_id in specs and kind.torque_seen_by_wrench:
        return _pull(scene, joint, at)
    able = kind.play_methods or ["look"]
    fit = [method for method in owed if method in able]
    method = (fit or [walk.LOOKED_AT.get(kind.code, able[0])])[0]
    return looks.Look(joint.pk, FindingCode.NO_PLAY, str(method))


def missing_pin(scene: Scene) -> None:
    """Held for a missing pin three days ago; driven yesterday all the same."""
    _fuel(scene, 24, 17)
    _routine(scene, "petra", scene.at(16, 9, 20))
    _fuel(scene, 9)
    pin = looks.Look(
        scene.joint("tie_rod_end", "left").pk, FindingCode.BROKEN, "look",
        note="Cotter pin missing, nut still on. Witness mark has not moved.",
    )  # fmt: skip
    _sheet(scene, "petra", scene.at(3, 10, 15), "recheck", [pin])
    at = scene.at(1, 16, 50)
    moved = meters.Reading(scene.vehicle.pk, scene.meter(at, miles=38))
    meters.record_meter(who("fuel-desk"), moved, at=at)


def shaken(scene: Scene) -> None:
    """An oscillation complaint of yesterday evening: held at once, nobody has looked yet."""
    _fuel(scene, 24)
    _routine(scene, "amos", scene.at(19, 8, 40))
    _fuel(scene, 17, 9)
    at = scene.at(1, 16, 20)
    complain.report_complaint(who("mina"), complain.Report(
        scene.vehicle.pk, "axle_oscillation", speed_typed="48 mph", after_bump=True,
        under_braking=False, stopped_only_when_slowed=True, tyre_pressures="55 front, 60 rear",
        load="Half a load of gravel",
        text="Hit the cattle guard and the whole axle shook. Had to come down to a crawl.",
    ), at=at)  # fmt: skip


def waiting(scene: Scene) -> None:
    """A retorque done yesterday: its lines are complete, a second person has to check."""
    _fuel(scene, 24)
    _routine(scene, "dov", scene.at(20, 10, 10))
    _fuel(scene, 17, 9)
    joint = scene.joint("track_bar_axle_end")
    at = scene.at(2, 9, 30)
    _sheet(scene, "dov", at, "recheck", [_pull(scene, joint, at, FindingCode.MOVED, "22")])
    new = repair.NewTicket(
        scene.vehicle.pk, "Track bar moved under the wrench", None, (("retorque", joint.pk),)
    )
    ticket = repair.open_ticket(who("dov"), new, at=scene.at(1, 9, 5)).row
    figure, torque = typed_torque(looks.target_specs(scene.vehicle)[joint.kind_id])
    typed = {
        "torque": figure, "tool": _tool(scene, torque, at).code, "turned": "no",
        "thread_condition": "dry", "as_found": "moved", "ride_height": True,
        "cause_looked_for": True, "cause_found": "Paint under the bolt head, cleaned off",
    }  # fmt: skip
    entry = repair.Entry(ticket.lines.get().pk, typed)
    repair.record_line(who("dov"), entry, at=scene.at(1, 9, 50))


def apart(scene: Scene) -> None:
    """Taken apart 23 days ago and waiting for a bearing ever since."""
    line = ("replace_kingpin", scene.joint("kingpin_upper", "left").pk)
    new = repair.NewTicket(scene.vehicle.pk, "Kingpins out, waiting for the thrust bearing",
                           None, (line,))  # fmt: skip
    at = scene.at(APART_DAYS, 9, 30)
    repair.open_ticket(who("gus"), new, at=at)
    vehicles.lay_up(who("lena"), scene.vehicle.pk, "Kingpins out, bearing on order",
                    at=scene.at(APART_DAYS, 11, 0))  # fmt: skip
    taken = scene.vehicle.joints.filter(kind__code__startswith="kingpin", side="left")
    why = "Knuckle stripped, thrust bearing on order"
    for minute, joint_id in enumerate(taken.values_list("pk", flat=True)):
        gone = fittings.Fitting(joint_id, Joint.Fitted.APART, why)
        fittings.set_fitting(who("gus"), gone, at=scene.at(APART_DAYS, 11, 20 + minute))


def again(scene: Scene) -> None:
    """The axle end has moved once more: the scan opens its pattern again."""
    _fuel(scene, 24)
    _routine(scene, "petra", scene.at(21, 8, 20))
    _fuel(scene, 17, 9)
    at = scene.at(6, 9, 0)
    joint = scene.joint("track_bar_axle_end")
    _sheet(scene, "dov", at, "retorque", [_pull(scene, joint, at, FindingCode.MOVED, "17")])


PLAYS = {PIN: missing_pin, SHAKEN: shaken, WAITING: waiting, APART: apart, AGAIN: again}
