"""One cause, one pattern: the strongest is accepted, and what it explains is folded under it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.clusters.among import Cells, among
from fleet.calc.clusters.counts import ClusterError, Flags, Floats, Ints, counts, places, summed
from fleet.calc.clusters.evidence import JOINT_RATIOS, RATIOS, opened

LEVEL = 0.05
#: More causes than this at once are a wrong expectation rather than causes (own).
MOST_CAUSES = 50
#: Rounds in which the ratios of accepted causes are fitted to each other.
_ROUNDS = 8


class Candidate(NamedTuple):
    """What may be a cause: its label (``"tool"``, ``"joint"``) and its number under that label."""

    label: str
    member: int


@dataclass(frozen=True, slots=True)
class Cause:
    """One pattern.

    Attributes
    ----------
    candidate : Candidate
    ratio : float
        Its finds over expected, the other accepted causes taken into account.
    observed : int
    expected : float
        Its finds, and those its checks lead to expect without any cause.
    log_e : float
        Natural logarithm of its evidence when it was accepted.
    explains : tuple of Candidate
        Would have been patterns too, and are none with this one accepted.
    not_told_apart : tuple of Candidate
        Those of `explains` that explain this one just as well: the record can't say which it is.
    """

    candidate: Candidate
    ratio: float
    observed: int
    expected: float
    log_e: float
    explains: tuple[Candidate, ...] = ()
    not_told_apart: tuple[Candidate, ...] = ()


def find_causes(
    found: ArrayLike,
    expected: ArrayLike,
    vehicle: ArrayLike,
    labels: Mapping[str, ArrayLike],
    *,
    families: Sequence[Sequence[str]] = (("joint",),),
    prior_shape: float = float("inf"),
    level: float = LEVEL,
) -> tuple[Cause, ...]:
    """Open patterns among joints and groups, one for each cause.

    Parameters
    ----------
    found : array_like of bool or int, shape (n,)
        Finds at each row.
    expected : array_like, shape (n,)
        What finds are weighed against: `spent_hazard` of each check, by a usual hazard fixed
        before it. Rows may be sums of checks that share vehicle and labels.
    vehicle : array_like of int, shape (n,)
    labels : mapping of str to array_like of int, shape (n,)
        For each label (``"joint"``, ``"tool"``, ``"lot"``, ``"yard"``) the number that each check
        belongs to; -1 for none or not to be shown.
    families : sequence of sequences of str
        Labels that are judged together; those not named make one more family. By default joints
        are one and all groups the other.
    prior_shape : float
        Spread between vehicles, fixed before (`vehicle_spread`).
    level : float
        Share of false patterns allowed, for each family.

    Returns
    -------
    tuple of Cause
        In the order accepted, strongest first; empty if nothing stands out.

    Raises
    ------
    ClusterError
        ``"nothing_expected"`` with no expectation at all.
    ValueError
        For arrays that don't fit, or a family of labels that there are not.

    Notes
    -----
    1. Evidence for every candidate (`e_value_among`), opened by family (`e_bh`).
    2. The strongest by how far it is above its family's size is accepted; its ratio goes into the
       expectation of its checks, together with those accepted before.
    3. All are tested again. What was open and no longer is, is folded under the cause just
       accepted. Until nothing is open.
    4. For each folded candidate the tables are turned: put in instead of its cause, does the
       cause still stand out? If not, nobody can tell the two apart, and that is said.

    A member with no more than one vehicle's worth of contrast (a tool used in one yard only) ends
    in `not_told_apart`; no arithmetic can do better.

    Examples
    --------
    A tool of three loosens more than the others, in two yards alike:

    >>> n = np.arange(600)
    >>> tool, yard = n % 3, n // 3 % 2
    >>> found = (tool == 1) & (n % 5 == 0) | (n % 29 == 0)
    >>> causes = find_causes(found, np.full(600, 0.06), n % 40, {"tool": tool, "yard": yard})
    >>> [(cause.candidate.label, cause.candidate.member) for cause in causes]
    [('tool', 1)]
    """
    seen, due = counts(found, expected)
    whose = places("vehicle", vehicle, seen.size)
    if not due.any():
        raise ClusterError("nothing_expected")
    tables = {
        name: _table(places(name, member, seen.size, least=-1), seen, due, whose)
        for name, member in labels.items()
    }
    search = _Search(tables, _families(families, tables), seen, due, whose, prior_shape, level)
    return search.causes()


def _families(named: Sequence[Sequence[str]], tables: Mapping[str, "_Table"]) -> list[list[str]]:
    told = [[name for name in family if name in tables] for family in named]
    taken = {name for family in told for name in family}
    return [family for family in [*told, [name for name in tables if name not in taken]] if family]


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """One label: cells (member on a vehicle), where each row belongs, who can be a candidate."""

    row_member: Ints
    row_cell: Ints
    rows: Flags
    cell_vehicle: Ints
    cell_member: Ints
    cell_found: Floats
    candidates: Ints

    def cells(self, due: Floats) -> Cells:
        each = summed(self.row_cell, due[self.rows], self.cell_found.size)
        members = int(self.row_member.max(initial=-1)) + 1
        return Cells(self.cell_found, each, self.cell_vehicle, self.cell_member, members)

    @property
    def ratios(self) -> tuple[float, ...]:
        """Members that each lie on one vehicle are joints."""
        alone = self.cell_member.size == np.unique(self.cell_member).size
        return JOINT_RATIOS if alone else RATIOS


def _table(member: Ints, seen: Floats, due: Floats, whose: Ints) -> _Table:
    rows = member >= 0
    width = int(whose.max()) + 1
    keys, cell = np.unique(member[rows] * width + whose[rows], return_inverse=True)
    cell_member = keys // width
    exposed = np.bincount(member[rows], due[rows])
    return _Table(
        member, cell, rows, keys % width, cell_member, summed(cell, seen[rows]),
        np.flatnonzero(exposed > 0),
    )  # fmt: skip


class _Search:
    """The evidence as accepted causes come in; one label at a time, never one row."""

    def __init__(
        self, tables: Mapping[str, _Table], families: list[list[str]], seen: Floats, due: Floats,
        whose: Ints, shape: float, level: float,
    ) -> None:  # fmt: skip
        self.tables, self.families = tables, families
        self.seen, self.due, self.whose = seen, due, whose
        self.shape, self.level = shape, level
        self.vehicle_seen = summed(whose, seen)

    def causes(self) -> tuple[Cause, ...]:
        evidence = self.evidence(self.due)
        stand_out = self.stand_out(evidence)
        accepted: list[Cause] = []
        while stand_out and len(accepted) < MOST_CAUSES:
            strongest = max(stand_out, key=stand_out.__getitem__)
            names = [*(cause.candidate for cause in accepted), strongest]
            ratios, explained = self.fitted(names)
            left = self.stand_out(self.evidence(explained), names)
            folded = [one for one in stand_out if one not in left and one != strongest]
            log_e = float(evidence[strongest.label][strongest.member])
            accepted.append(self.cause(strongest, log_e, folded, names[:-1]))
            accepted = [
                self.renewed(cause, ratio) for cause, ratio in zip(accepted, ratios, strict=True)
            ]
            evidence, stand_out = self.evidence(explained), left
        return tuple(accepted)

    def evidence(self, due: Floats) -> dict[str, Floats]:
        """Log e of every member, by label, wherever it may open anything."""
        vehicle_due = summed(self.whose, due)
        shape = np.array([self.shape])
        # Half the line of a family of one: those accepted before count beside those opened now.
        least = float(np.log(0.5 / self.level))
        return {
            name: among(
                table.cells(due), self.vehicle_seen, vehicle_due, shape, table.ratios, least
            )
            for name, table in self.tables.items()
        }

    def stand_out(
        self, evidence: Mapping[str, Floats], accepted: Sequence[Candidate] = ()
    ) -> dict[Candidate, float]:
        """What is opened, with how far its log e lies above the size of its family.

        Those accepted count as opened, else what was opened beside them would fall out with them.
        """
        found: dict[Candidate, float] = {}
        for family in self.families:
            already = sum(one.label in family for one in accepted)
            each = [(name, self.tables[name].candidates) for name in family]
            logs = np.concatenate([evidence[name][members] for name, members in each])
            sizes = np.cumsum([0, *(members.size for _, members in each)])
            for place in np.flatnonzero(opened(logs, self.level, already)):
                label = int(np.searchsorted(sizes, place, side="right")) - 1
                name, members = each[label]
                candidate = Candidate(name, int(members[place - sizes[label]]))
                found[candidate] = float(logs[place] - np.log(logs.size))
        return {one: margin for one, margin in found.items() if one not in accepted}

    def fitted(self, names: Sequence[Candidate]) -> tuple[list[float], Floats]:
        """Ratios of causes that each meet their finds, and the expectation with them in it."""
        rows = [self.tables[name.label].row_member == name.member for name in names]
        finds = [float(self.seen[mine].sum()) for mine in rows]
        ratios, due = [1.0] * len(names), self.due.copy()
        for _ in range(_ROUNDS if len(names) > 1 else 1):
            for place, (mine, found) in enumerate(zip(rows, finds, strict=True)):
                step = found / float(due[mine].sum())
                due[mine] *= step
                ratios[place] *= step
        return ratios, due

    def cause(
        self, candidate: Candidate, log_e: float, folded: Sequence[Candidate],
        others: Sequence[Candidate],
    ) -> Cause:  # fmt: skip
        table = self.tables[candidate.label]
        mine = table.row_member == candidate.member
        overlap = [one for one in folded if self.overlaps(mine, one)]
        alike = [one for one in overlap if self.explained_by(candidate, one, others)]
        found, due = int(self.seen[mine].sum()), float(self.due[mine].sum())
        return Cause(candidate, found / due, found, due, log_e, tuple(overlap), tuple(alike))

    def overlaps(self, mine: Flags, other: Candidate) -> bool:
        return bool(np.any(mine & (self.tables[other.label].row_member == other.member)))

    def explained_by(
        self, candidate: Candidate, other: Candidate, others: Sequence[Candidate]
    ) -> bool:
        _, due = self.fitted([*others, other])
        return candidate not in self.stand_out(self.evidence(due), [*others, other])

    @staticmethod
    def renewed(cause: Cause, ratio: float) -> Cause:
        return Cause(
            cause.candidate, ratio, cause.observed, cause.expected, cause.log_e, cause.explains,
            cause.not_told_apart,
        )  # fmt: skip
