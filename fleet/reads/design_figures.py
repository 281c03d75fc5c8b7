"""Designs and the torque figures that their joints still want."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from fleet.reads.designs import walk_groups
from fleet.records.models import Design, HeldBy, JointKind, Layout, LayoutJoint, TorqueSpec

# Nothing is tightened to a figure there.
NO_FIGURE = (HeldBy.NONE, HeldBy.PRESSED)


@dataclass(frozen=True)
class WantedFigure:
    """A kind of joint with the figure that a wrench is set to, if it is on file."""

    kind: JointKind
    spec: TorqueSpec | None


@dataclass(frozen=True)
class DesignFigures:
    """One design: every fastener it has, in the order of the walk, group by group."""

    design: Design
    groups: list[tuple[str, list[WantedFigure]]]

    @property
    def all(self) -> list[WantedFigure]:
        return [row for _name, rows in self.groups for row in rows]

    @property
    def on_file(self) -> int:
        return sum(row.spec is not None for row in self.all)

    @property
    def missing_holds(self) -> list[WantedFigure]:
        """Joints that can hold the vehicle and have no figure yet."""
        return [row for row in self.all if row.spec is None and row.kind.holds]

    @property
    def next(self) -> WantedFigure | None:
        """Where to go on: joints that can hold the vehicle come first."""
        return next((row for row in self.missing_holds or self.all if row.spec is None), None)


def design_figures(designs: Iterable[Design]) -> list[DesignFigures]:
    """Each design with its fasteners; three queries, however many designs."""
    rows = list(designs)
    kinds = {kind.pk: kind for kind in JointKind.objects.exclude(held_by__in=NO_FIGURE)}
    by_layout, common = _kinds_by_layout()
    specs = {(spec.design_id, spec.kind_id): spec for spec in _targets()}
    found = []
    for design in rows:
        layouts = (design.axle_id, design.linkage_id, design.knuckle_id, design.hub_id)
        mine = common.union(*(by_layout[layout] for layout in layouts)) & kinds.keys()
        wanted = [WantedFigure(kinds[pk], specs.get((design.pk, pk))) for pk in kinds if pk in mine]
        found.append(DesignFigures(design, walk_groups(wanted, lambda row: row.kind)))
    return found


def _targets() -> Iterable[TorqueSpec]:
    return TorqueSpec.objects.filter(is_target=True, is_current=True)


def _kinds_by_layout() -> tuple[dict[int, set[int]], set[int]]:
    """Kinds of joint by the layout that has them, and those that every vehicle has."""
    by_layout: dict[int, set[int]] = defaultdict(set)
    common: set[int] = set()
    places = LayoutJoint.objects.values_list("layout_id", "layout__axis", "kind_id")
    for layout, axis, kind in places:
        (common if axis == Layout.Axis.COMMON else by_layout[layout]).add(kind)
    return by_layout, common
