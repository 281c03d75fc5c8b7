"""One of everything that the cases of the constraints stand on."""

from dataclasses import dataclass
from typing import Any

from fleet.records.models import (
    Exposure,
    FileAnswer,
    FileRequest,
    JointFitting,
    LayoutJoint,
    RoadRelease,
    RoadTest,
    RuleException,
    TorqueReading,
)
from tests import build, held, people, swept
from tests.build import NOW
from tests.records.plan_rows import PlanRows


@dataclass
class Rows:
    def __post_init__(self) -> None:
        self.yard = build.yard()
        self.who = people.technician(self.yard)
        self.truck = build.vehicle(self.yard, "A-1", vin="1M8GDM9AXKP042788")
        self.end = build.joint(self.truck)
        self.ticket = build.ticket(self.truck, self.who)
        self.tool = build.tool(self.yard, "TW-1")
        self.finding = build.finding(self.end, self.who, "tight")
        self.place = LayoutJoint.objects.filter(layout=self.truck.design.axle)[0]
        self.entry = build.trail(self.who, self.truck)

    @property
    def plan(self) -> PlanRows:
        return PlanRows(self)

    def fact(self) -> dict[str, Any]:
        return {"by": self.who, "occurred_at": NOW}

    def reading(self, **wrong: Any) -> Any:
        return build.meter(self.truck, 48_000, self.who, **wrong)

    def torque(self, **wrong: Any) -> Any:
        return build.torque(self.end, self.who, self.tool, self.finding, **wrong)

    def spec(self, **wrong: Any) -> Any:
        return build.spec(self.who, **wrong)

    def recheck(self, **wrong: Any) -> Any:
        return build.recheck(self.truck, **wrong)

    def exception(self, **wrong: Any) -> Any:
        values = {"rungs": [], "reason": "stands by", "ends_on": NOW.date(), "since": NOW}
        return RuleException.objects.create(
            vehicle=self.truck, ladder="routine", set_by=self.who, **{**values, **wrong}
        )

    def vehicle(self, **wrong: Any) -> Any:
        return build.vehicle(self.yard, "B-2", **wrong)

    def leave(self, **wrong: Any) -> Any:
        to = wrong.pop("to", None) or people.colleague(self.yard)
        return build.leave(self.ticket, to, self.who, **wrong)

    def move(self, **wrong: Any) -> Any:
        return build.yard_move(self.truck, self.who, **wrong)

    def without_origin(self) -> Any:
        return TorqueReading.objects.create(
            **self.fact(), joint=self.end, tool=self.tool, tool_in_date=True, typed="1",
            torque_nm=1, band="inside", turned=False,
        )  # fmt: skip

    def exposure(self, **wrong: Any) -> Any:
        values = {"finding": self.finding, "joint": self.end, "vehicle": self.truck,
                  "clock": "tightness", "sight": "moved", "at": NOW, "lower_si": 0, "upper_si": 8,
                  "loose": False, "first": True, "duty": "gravel"}  # fmt: skip
        if "turning" not in wrong:
            values["turning"] = self.torque()
        return Exposure.objects.create(**{**values, **wrong})

    def interval(self, **wrong: Any) -> Any:
        kind, axle = self.end.kind.code, self.truck.design.axle.code
        return held.proposal(kind, axle, **wrong)

    def swept(self, **wrong: Any) -> Any:
        torque = wrong.pop("torque", self.torque())
        return swept.listed(swept.sweep(self.who), self.end, torque, **wrong)

    def swept_twice(self) -> Any:
        row = self.swept()
        return swept.listed(row.sweep, self.end, row.torque, recheck=row.recheck)

    def fitting(self, **wrong: Any) -> Any:
        values = {"joint": self.end, "fitted": "apart", "reason": "bolt on order"}
        return JointFitting.objects.create(**self.fact(), **{**values, **wrong})

    def asked(self, **wrong: Any) -> Any:
        values = {"vehicle": self.truck, "why": "audit", "wanted_by": NOW.date()}
        return FileRequest.objects.create(**self.fact(), **{**values, **wrong})

    def answered(self, **wrong: Any) -> Any:
        values = {"request": self.asked(), "kind": "answered", "text": "printed"}
        return FileAnswer.objects.create(**self.fact(), **{**values, **wrong})

    def failed_test(self) -> Any:
        out = RoadRelease.objects.create(
            **self.fact(), ticket=self.ticket, driver="a helper", place="yard loop", until=NOW
        )
        return RoadTest.objects.create(**self.fact(), ticket=self.ticket, release=out, passed=False)
