"""How often something usually goes wrong, by all that was known before: rechecks missed, toe found
out of what it was left at."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.history.usual import FEWEST_FINDS, Flags, Floats

#: Rows that the share of all kinds is worth beside a kind's own (own).
STRENGTH = 20.0


def share_before(month: ArrayLike, kind: ArrayLike, found: ArrayLike) -> tuple[Floats, Flags]:
    """Return for each row the share of earlier rows of its kind that went wrong.

    Parameters
    ----------
    month : array_like of int, shape (n,)
        Rows of earlier months count, not those of the row's own.
    kind : array_like of int, shape (n,)
    found : array_like of bool, shape (n,)

    Returns
    -------
    share : ndarray, shape (n,)
        Drawn towards the share of all kinds.
    known : ndarray of bool, shape (n,)
        Whether enough had gone wrong by then to say.

    Examples
    --------
    >>> month = np.repeat(np.arange(3), 40)
    >>> share, known = share_before(month, np.zeros(120, int), np.arange(120) % 4 == 0)
    >>> share[[0, 40, 80]].round(2).tolist(), known[[0, 40, 80]].tolist()
    ([0.5, 0.25, 0.25], [False, True, True])
    """
    months, when = np.unique(np.asarray(month), return_inverse=True)
    what, wrong = np.asarray(kind, dtype=np.intp), np.asarray(found, dtype=np.float64)
    sizes = (months.size, int(what.max(initial=-1)) + 1)
    cell = when * sizes[1] + what

    def before(weight: Floats) -> Floats:
        sums = np.bincount(cell, weight, sizes[0] * sizes[1]).reshape(sizes)
        return np.asarray(np.cumsum(sums, axis=0) - sums)

    bad, all_rows = before(wrong), before(np.ones_like(wrong))
    whole_bad, whole = bad.sum(axis=1, keepdims=True), all_rows.sum(axis=1, keepdims=True)
    overall = (whole_bad + 1) / (whole + 2)
    share = (bad + STRENGTH * overall) / (all_rows + STRENGTH)
    return share[when, what], np.asarray(whole_bad[when, 0] >= FEWEST_FINDS)
