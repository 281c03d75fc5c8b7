"""What was found at a joint twice running: one more pull of the wrench is no answer to it."""

from collections import Counter
from typing import Any

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from fleet.records.models import Finding, FindingCode

TWICE = 2
SILENT = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)


def moved_twice(joints: Any) -> set[int]:
    """Of joints (ids, or a query of them) those whose last two telling looks both said 'moved'.

    One query, however many joints.
    """
    newest_first = [F("occurred_at").desc(), F("id").desc()]
    told = Finding.objects.filter(joint__in=joints).exclude(code__in=SILENT)
    last_two = told.annotate(
        place=Window(RowNumber(), partition_by="joint", order_by=newest_first)
    ).filter(place__lte=TWICE).order_by()  # fmt: skip
    moved = Counter(
        joint_id
        for joint_id, code in last_two.values_list("joint_id", "code")
        if code == FindingCode.MOVED
    )
    return {joint_id for joint_id, times in moved.items() if times == TWICE}
