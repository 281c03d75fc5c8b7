"""Torque figures: a change is a new row with the next version; the old one stays."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.tools import torque_nm
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, run
from fleet.records.models import Design, JointKind, ThreadCondition, TorqueSpec

# Low and high side as written share one column.
MOST_TYPED = 56


@dataclass(frozen=True)
class NewSpec:
    """A figure as written: one torque, or a low and a high side."""

    design_id: int
    kind_id: int
    origin: str
    low: str
    high: str
    thread_condition: str
    source: str
    is_target: bool = True
    new_fastener: bool = False
    angle_degrees: float | None = None
    thread: str = ""
    strength_class: str = ""
    sequence: str = ""
    reason: str = ""


def set_spec(
    actor: Actor, new: NewSpec, *, at: datetime, request: Request | None = None
) -> Done[TorqueSpec]:
    """Put a figure on file. A shop figure past the factory's needs hardware, source and reason."""
    actor.need("edit_specs")
    return run("set_spec", actor, at, lambda work: _apply(work, new), request)


def _apply(work: Work, new: NewSpec) -> TorqueSpec:
    _known(new)
    design = Design.objects.select_for_update().get(pk=new.design_id)
    kind = JointKind.objects.get(pk=new.kind_id)
    low = torque_nm(new.low, "low")
    high = torque_nm(new.high, "high") if new.high.strip() else low
    if high < low:
        raise refuse("high_below_low", _("The high side is below the low side."), field="high")
    if not new.source.strip():
        message = _("Say where the figure stands (service information, page or bulletin).")
        raise refuse("source_missing", message, field="source")
    same = TorqueSpec.objects.filter(design=design, kind=kind)
    if new.origin == TorqueSpec.Origin.SHOP and new.is_target and kind.holds:
        _shop_above_factory(high, new)
    version = same.filter(origin=new.origin).aggregate(v=Max("version"))["v"] or 0
    if new.is_target:
        same.filter(is_target=True).update(is_target=False)
    same.filter(origin=new.origin, is_current=True).update(is_current=False, is_target=False)
    typed = new.low.strip() if high == low else f"{new.low.strip()} – {new.high.strip()}"
    row = TorqueSpec.objects.create(
        design=design, kind=kind, origin=new.origin, is_target=new.is_target, typed=typed,
        low_nm=low, high_nm=high, angle_degrees=new.angle_degrees, sequence=new.sequence,
        thread_condition=new.thread_condition, new_fastener=new.new_fastener, thread=new.thread,
        strength_class=new.strength_class, source=new.source.strip(), reason=new.reason.strip(),
        version=version + 1, since=work.at, set_by=work.actor.person,
    )  # fmt: skip
    work.trail("set_spec", row, after={"typed": typed, "version": row.version}, reason=new.reason)
    return row


def _known(new: NewSpec) -> None:
    """What is chosen from lists is on them, and what is typed fits."""
    refuse_too_long(
        TorqueSpec, source=new.source, reason=new.reason, sequence=new.sequence,
        thread=new.thread, strength_class=new.strength_class,
    )  # fmt: skip
    if len(new.low.strip()) + len(new.high.strip()) > MOST_TYPED:
        raise refuse("too_long", _("Type the figures alone."), field="low")
    for name, there in (
        ("design", Design.objects.filter(pk=new.design_id).exists()),
        ("kind", JointKind.objects.filter(pk=new.kind_id).exists()),
        ("origin", new.origin in TorqueSpec.Origin.values),
        ("thread_condition", new.thread_condition in ThreadCondition.values),
    ):
        if not there:
            raise refuse(f"{name}_unknown", _("Choose one from the list."), field=name)


def _shop_above_factory(high: float, new: NewSpec) -> None:
    """If a joint keeps loosening, hole, bolt and bracket are looked at before torque is added."""
    factory = TorqueSpec.objects.filter(
        design_id=new.design_id, kind_id=new.kind_id, origin=TorqueSpec.Origin.FACTORY,
        is_current=True,
    ).first()  # fmt: skip
    if factory is None or high <= factory.high_nm:
        return
    if new.new_fastener and new.reason.strip():
        return
    message = _(
        "This is above the factory's %(typed)s on a joint that warrants a hold. It needs changed "
        "hardware and a reason; look at hole, bolt and bracket before adding torque."
    )
    raise refuse("above_factory", message % {"typed": factory.typed}, field="high")
