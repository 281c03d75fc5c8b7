"""The body of an inspection: one whole sheet with what was found at each joint."""

from typing import Any

from rest_framework import serializers

from api.fields import ById, FactIn, Flag, InScope, Strict, Text, Typed, Whole
from fleet.operations.inspect import Sheet
from fleet.operations.looks import Look
from fleet.records.models import (
    Complaint,
    FindingCode,
    InspectionKind,
    Person,
    ThreadCondition,
    TorqueTool,
    Vehicle,
)

MOST_JOINTS = 200


class LookIn(Strict):
    """What a look says. Which figures a finding needs, the rules say."""

    code = serializers.ChoiceField(choices=FindingCode.choices)
    method = Text(required=False, allow_blank=True, max_length=20)
    degrees = Typed(required=False, allow_blank=True, max_length=20)
    play = Typed(required=False, allow_blank=True, max_length=40, help_text='"1/16 in"')
    torque = Typed(required=False, allow_blank=True, max_length=40, help_text='"60 lbf·ft"')
    extension = Typed(
        required=False, allow_blank=True, max_length=40,
        help_text='In line with the wrench\'s handle, drive to fastener: "3 in".',
    )  # fmt: skip
    tool = Text(required=False, allow_blank=True, max_length=20, help_text="Code on the tool.")
    thread_condition = serializers.ChoiceField(
        choices=ThreadCondition.choices, required=False, allow_blank=True
    )


class FindingIn(LookIn):
    """What was found at one joint."""

    joint = Whole(min_value=1, help_text="Joint, by its id.")
    reason = Text(required=False, allow_blank=True, max_length=200)
    note = Text(required=False, allow_blank=True, max_length=400)
    uid = serializers.UUIDField(required=False)


class SheetIn(FactIn):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    kind = serializers.ChoiceField(choices=InspectionKind.choices)
    findings: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=FindingIn(), allow_empty=False, max_length=MOST_JOINTS
    )
    complaint = ById(Complaint, required=False, allow_null=True)
    second_person = ById(Person, required=False, allow_null=True)
    at_wheel = Text(required=False, allow_blank=True, max_length=80)
    on_wheels = Flag(required=False, allow_null=True)
    engine_on = Flag(required=False, allow_null=True)
    ride_height = Flag(required=False, allow_null=True)
    plough_on = Flag(required=False, allow_null=True)
    meter = Typed(required=False, allow_blank=True, max_length=40)
    note = Text(required=False, allow_blank=True, max_length=4000)


def sheet_of(said: dict[str, Any], person: Person) -> Sheet:
    """The operation's sheet; all torque tools named on it are looked up at once."""
    said = dict(said)
    tools = tools_named(said["findings"], person)
    complaint, second = said.pop("complaint", None), said.pop("second_person", None)
    return Sheet(
        vehicle_id=said.pop("vehicle").pk,
        looks=tuple(look_of(found, tools) for found in said.pop("findings")),
        occurred_at=said.pop("at", None),
        complaint_id=complaint.pk if complaint else None,
        second_person_id=second.pk if second else None,
        **said,
    )


def tools_named(findings: list[dict[str, Any]], person: Person) -> dict[str, int]:
    """The torque tools in the sender's scope that findings name; one query."""
    codes = {found["tool"] for found in findings if found.get("tool")}
    return dict(TorqueTool.visible_to(person).filter(code__in=codes).values_list("code", "pk"))


def look_of(found: dict[str, Any], tools: dict[str, int]) -> Look:
    found = dict(found)
    code = found.pop("tool", "")
    # A tool that is not on file is id 0: the rules then ask for one.
    return Look(joint_id=found.pop("joint"), tool_id=tools.get(code, 0) if code else None, **found)
