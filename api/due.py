"""Due: everything owed, first of distance, date or hours, with its projected date."""

from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.due_examples import HAND_OVER, PUT_OFF
from api.examples import ASSIGN, DRIVE
from api.fields import Flag, Moment, Strict, Text, Typed, Whole
from api.paging import DuePages
from api.people import PersonRef
from fleet.operations.assign import MOST, assign_many, assign_recheck
from fleet.operations.put_off import PutOff, put_off, take_put_off_back
from fleet.operations.recheck_drive import Drive, drive_recheck
from fleet.reads.due import DueItem, due_items, with_all_shown
from fleet.reads.due_filter import DueFilter
from fleet.reads.due_parts import in_parts
from fleet.records.models import Recheck, RecheckDrive, Yard


class RecheckOut(serializers.ModelSerializer[Recheck]):
    """An obligation to look again. What the rule said when it was made stays with it."""

    vehicle = serializers.SlugRelatedField[Recheck](slug_field="unit_number", read_only=True)
    yard = serializers.CharField(source="vehicle.yard.slug", read_only=True)
    joint_kind = serializers.CharField(
        source="joint.kind.code", default=None, allow_null=True, read_only=True,
        help_text="Null for what is owed by the whole front end.",
    )  # fmt: skip
    side = serializers.CharField(source="joint.side", default="", read_only=True)
    methods = serializers.ListField(
        child=serializers.CharField(), read_only=True, help_text="Any of these suffices."
    )
    assigned_to = PersonRef(read_only=True, allow_null=True)
    put_off_by = PersonRef(read_only=True, allow_null=True)
    falls_on = serializers.DateField(
        read_only=True, help_text="The first of the date and the projected use."
    )
    today = serializers.SerializerMethodField(help_text="The yard's date that this was judged at.")
    share = serializers.SerializerMethodField(help_text="Of its interval used, by date or use.")
    late = serializers.SerializerMethodField()
    meter_stale = serializers.SerializerMethodField(
        help_text="The meter was not read for so long that the projection means little."
    )

    waits = serializers.SerializerMethodField(
        help_text="Laid up: its days stand still, it is looked at before it goes out."
    )
    use_lacks = serializers.SerializerMethodField(
        help_text="What the meter still lacks before it can tell a date; empty where it can."
    )
    road_test = serializers.BooleanField(
        read_only=True, help_text="Asks for a road test too: done only with both."
    )

    class Meta:
        model = Recheck
        fields = [
            "id", "uid", "vehicle", "yard", "joint", "joint_kind", "side", "kind", "state",
            "methods", "ladder", "rung", "rule_version", "interval", "made_by_line",
            "made_by_finding", "follows", "started_at", "start_use_si", "not_before",
            "not_before_use_si", "due_on", "due_use_si", "use_on_low", "use_on", "use_on_high",
            "falls_on", "today", "share", "late", "waits", "meter_stale", "use_lacks",
            "road_test", "looked_by_finding", "driven_by", "hold_at_twice", "assigned_to",
            "fell_due_at", "done_at", "done_by_finding", "done_by_line", "exception",
            "put_off_by", "put_off_reason", "ruled_on", "ruled_use_si",
        ]  # fmt: skip
        read_only_fields = fields

    item: DueItem

    def to_representation(self, instance: Recheck) -> Any:
        """A page of them is judged at once; one alone by itself."""
        items: dict[int, DueItem] = self.context.get("items", {})
        self.item = items.get(instance.pk) or due_items([instance], timezone.now())[0]
        return super().to_representation(instance)

    def get_today(self, row: Recheck) -> str:
        return self.item.today.isoformat()

    def get_share(self, row: Recheck) -> float:
        return round(self.item.share, 4)

    def get_late(self, row: Recheck) -> bool:
        return self.item.late

    def get_waits(self, row: Recheck) -> bool:
        return self.item.waits

    def get_use_lacks(self, row: Recheck) -> str:
        return self.item.use_lacks

    def get_meter_stale(self, row: Recheck) -> bool:
        return self.item.stale


class DriveOut(serializers.ModelSerializer[RecheckDrive]):
    """The road test of a recheck."""

    by = PersonRef(read_only=True)
    recheck_state = serializers.CharField(source="recheck.state", read_only=True)
    speeds_m_s = serializers.ListField(child=serializers.FloatField(), read_only=True)

    class Meta:
        model = RecheckDrive
        fields = [
            "id", "uid", "recheck", "recheck_state", "driver", "place", "speeds_typed",
            "speeds_m_s", "passed", "note", "use_si", "occurred_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class DriveIn(Strict):
    driver = Text(max_length=120, help_text="Who drove it; needs no account.")
    place = Text(max_length=160)
    speeds = Typed(max_length=120, help_text='Each step reached, in order: "20, 35, 45 mph".')
    passed = Flag()
    note = Text(required=False, allow_blank=True, max_length=4000)
    at = Moment(required=False, source="occurred_at", help_text="When it was driven; else now.")


class AssignIn(Strict):
    assigned_to = Whole(
        allow_null=True, min_value=1,
        help_text="Id of somebody of the vehicle's yard who makes inspections; null for nobody.",
    )  # fmt: skip


class HandOverIn(Strict):
    rechecks = serializers.ListField(child=Whole(min_value=1), allow_empty=False, max_length=MOST)
    assigned_to = Whole(allow_null=True, min_value=1, help_text="Null for nobody.")


class NotHandedOut(serializers.Serializer[Any]):
    recheck = serializers.IntegerField()
    code = serializers.CharField()
    message = serializers.CharField()


class HandedOut(serializers.Serializer[Any]):
    """What became of each: those that could not be handed over are told, the others are done."""

    done = serializers.IntegerField()
    refused = NotHandedOut(many=True)


class PutOffIn(Strict):
    until = serializers.DateField(help_text="Half its interval more at most, 30 days at most.")
    reason = Text(max_length=200)
    falls_on = serializers.DateField(
        required=False, allow_null=True,
        help_text="The date it fell due on when it was read; refused where that has changed.",
    )  # fmt: skip


class Due(Listed, Shown):
    """What is owed, the first to fall due first."""

    model = Recheck
    serializer_class = RecheckOut
    filterset_class = DueFilter
    ability = {
        "list": "view_due",
        "retrieve": "view_due",
        "partial_update": "assign_work",
        "road_test": "inspect",
        "hand_over": "assign_work",
        "put_off": "assign_work",
        "take_back": "assign_work",
    }
    keyed = frozenset({"road_test", "hand_over", "put_off", "take_back"})
    takes = {
        "partial_update": AssignIn, "road_test": DriveIn, "hand_over": HandOverIn,
        "put_off": PutOffIn, "take_back": Strict,
    }  # fmt: skip
    gives = {"road_test": DriveOut, "hand_over": HandedOut}
    codes = {"hand_over": 200, "put_off": 200, "take_back": 200}
    examples = {"partial_update": ASSIGN, "road_test": DRIVE, "hand_over": HAND_OVER,
                "put_off": PUT_OFF}  # fmt: skip
    page: Sequence[Recheck] = ()
    pagination_class = DuePages

    def shown(self, rows: QuerySet[Recheck]) -> QuerySet[Recheck]:
        """A list takes of these what is owed or missed (`in_parts`)."""
        return with_all_shown(rows)

    def paginate_queryset(self, queryset: Any) -> Any:
        when = self.request.query_params.get("when")
        yards = list(Yard.visible_to(self.actor.person)) if when else []
        parts: Any = in_parts(queryset, when, yards, self.now)
        self.page = super().paginate_queryset(parts) or []
        return self.page

    def get_serializer_context(self) -> dict[str, Any]:
        """The rules that judge a page of them are read once for the page."""
        items = {item.recheck.pk: item for item in due_items(self.page, self.now)}
        return {**super().get_serializer_context(), "items": items}

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Hand it to somebody, or to nobody."""
        recheck, said = self.get_object(), self.said()
        return self.done(assign_recheck(self.actor, recheck.pk, said["assigned_to"], at=self.now))

    def hand_over(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Hand many to one person, or to nobody, in one gesture."""
        said = self.said()
        handed = assign_many(self.actor, said["rechecks"], said["assigned_to"], at=self.now,
                             request=self.key)  # fmt: skip
        refused = [{"recheck": pk, "code": one.code, "message": one.message}
                   for pk, one in handed.problems.items()]  # fmt: skip
        return Response({"done": handed.done, "refused": refused})

    def put_off(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put it off, with a reason. Never a legal date, and never past what would hold it."""
        said = self.said()
        asked = PutOff(self.get_object().pk, said["until"], said["reason"])
        return self.done(put_off(self.actor, asked, at=self.now, seen=said.get("falls_on"),
                                 request=self.key))  # fmt: skip

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take a put-off back: the date that its rule had set stands again."""
        recheck = self.get_object()
        return self.done(take_put_off_back(self.actor, recheck.pk, at=self.now, request=self.key))

    def road_test(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record the road test that this recheck asks for beside its dry steer.

        Oscillation is never provoked: speed goes up in steps, the first sign ends the drive. One
        that does not pass holds the vehicle at once.
        """
        drive = Drive(self.get_object().pk, **self.said())
        return self.made(drive_recheck(self.actor, drive, at=self.now, request=self.key))
