"""The trail: who changed what, when, through which door."""

from rest_framework import serializers

from api.base import Listed
from api.paging import TrailCursor
from fleet.reads.filters import TrailFilter
from fleet.records.models import TrailEntry


class TrailOut(serializers.ModelSerializer[TrailEntry]):
    """It holds people's ids only; their names are under people."""

    before = serializers.DictField(read_only=True)
    after = serializers.DictField(read_only=True)
    actor_id = serializers.IntegerField(read_only=True)
    tablet_id = serializers.IntegerField(read_only=True, allow_null=True)
    subject_id = serializers.IntegerField(read_only=True)
    vehicle_id = serializers.IntegerField(read_only=True, allow_null=True)
    yard_id = serializers.IntegerField(read_only=True, allow_null=True)

    class Meta:
        model = TrailEntry
        fields = [
            "id", "uid", "gesture", "at", "received_at", "actor_id", "tablet_id", "door", "verb",
            "subject", "subject_id", "vehicle_id", "yard_id", "before", "after", "reason",
        ]  # fmt: skip
        read_only_fields = fields


class Trail(Listed):
    """Every step, the newest first. Nothing disappears from it."""

    model = TrailEntry
    serializer_class = TrailOut
    filterset_class = TrailFilter
    pagination_class = TrailCursor
    ability = {"list": "view_trail"}
