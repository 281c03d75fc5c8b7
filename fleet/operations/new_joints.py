"""The joints of new vehicles, from the layouts of their designs, with an empty state each.

Made by the database itself: there are some forty for each vehicle, and all that is in them stands
in the database already.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from django.db import connection
from django.db.models import Q, QuerySet

from fleet.records.models import Design, Joint, JointState, Layout, LayoutJoint, Mark, Vehicle

# Vehicles a statement.
BATCH = 500
JOINTS = """
INSERT INTO {joint} (vehicle_id, place_id, kind_id, side, "order", fitted)
SELECT v.id, p.id, p.kind_id, CASE WHEN v.steering_side = 'right' AND p.id IN ({lone})
THEN CASE p.side WHEN 'left' THEN 'right' ELSE 'left' END ELSE p.side END, p."order", %s
FROM {vehicle} v CROSS JOIN {place} p
WHERE v.id IN ({vehicles}) AND p.id IN ({places}) ORDER BY v.id, p."order", p.id"""
STATES = """
INSERT INTO {state} (joint_id, mark, loosenings)
SELECT id, %s, 0 FROM {joint} WHERE vehicle_id IN ({vehicles}) ORDER BY id"""
TABLES = {
    "joint": Joint._meta.db_table, "state": JointState._meta.db_table,
    "vehicle": Vehicle._meta.db_table, "place": LayoutJoint._meta.db_table,
}  # fmt: skip


def make_joints_of(vehicles: Iterable[Vehicle]) -> None:
    """Inside the caller's transaction, the vehicles being stored."""
    of_design: dict[int, list[int]] = defaultdict(list)
    for vehicle in vehicles:
        of_design[vehicle.design_id].append(vehicle.pk)
    designs = Design.objects.in_bulk(of_design)
    with connection.cursor() as cursor:
        for pk, ids in of_design.items():
            rows = list(_places(designs[pk]))
            places, lone = [row.pk for row in rows], _lone(rows)
            for some in _chunks(ids):
                marks = {"vehicles": _marks(some), "places": _marks(places), "lone": _marks(lone)}
                values: list[int | str] = [*lone, str(Joint.Fitted.FITTED), *some, *places]
                cursor.execute(JOINTS.format(**TABLES, **marks), values)
        for some in _chunks([pk for ids in of_design.values() for pk in ids]):
            statement = STATES.format(**TABLES, vehicles=_marks(some))
            cursor.execute(statement, [str(Mark.UNKNOWN), *some])


def _places(design: Design) -> QuerySet[LayoutJoint]:
    layouts = [design.axle_id, design.linkage_id, design.knuckle_id, design.hub_id]
    rows: QuerySet[LayoutJoint] = LayoutJoint.objects.filter(
        Q(layout__in=layouts) | Q(layout__axis=Layout.Axis.COMMON)
    )
    return rows


def _lone(places: Sequence[LayoutJoint]) -> list[int]:
    """Joints that a layout has on one side alone: right-hand drive has them on the other."""
    sides = Counter((place.layout_id, place.kind_id) for place in places if place.side)
    found = [row.pk for row in places if sides.get((row.layout_id, row.kind_id)) == 1]
    # An empty list is no SQL.
    return found or [0]


def _marks(values: Sequence[int]) -> str:
    return ", ".join(["%s"] * len(values))


def _chunks(ids: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(ids), BATCH):
        yield ids[start : start + BATCH]
