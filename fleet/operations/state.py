"""The state kept of each joint, written as its facts say (fleet/reads/joint_states.py)."""

from fleet.reads.joint_states import FIELDS, fitted_now, work_out
from fleet.records.models import Joint, JointState

CHUNK = 400


def refresh(joint_ids: list[int]) -> None:
    """Write the state of these joints again, inside the caller's transaction."""
    wanted = sorted(set(joint_ids))
    for start in range(0, len(wanted), CHUNK):
        rows = work_out(wanted[start : start + CHUNK])
        JointState.objects.bulk_create(
            rows, update_conflicts=True, unique_fields=["joint"], update_fields=FIELDS
        )


def refresh_fitted(joint_ids: list[int]) -> None:
    """Write again whether these joints are fitted, inside the caller's transaction."""
    by_value: dict[str, list[int]] = {}
    for pk, fitted in fitted_now(joint_ids).items():
        by_value.setdefault(fitted, []).append(pk)
    for fitted, pks in by_value.items():
        Joint.objects.filter(pk__in=pks).exclude(fitted=fitted).update(fitted=fitted)


__all__ = ["CHUNK", "FIELDS", "fitted_now", "refresh", "refresh_fitted", "work_out"]
