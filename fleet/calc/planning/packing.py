"""Sharing minutes out exactly: whether some sharing of lengths among people keeps their minutes."""

from collections.abc import Sequence
from functools import lru_cache
from math import gcd

#: Loads are looked at together up to so many combinations; beyond, no answer is given.
MOST_STATES = 1_500_000


def shared_out(
    lengths: Sequence[int], able: Sequence[frozenset[int]], most: Sequence[int]
) -> list[int] | None:
    """Return for each length who of those able takes it, so that nobody has more than `most`.

    Notes
    -----
    All loads that the first lengths can make are kept as the bits of one whole number: a bit for
    each combination of loads of all but one person, whose load is the rest. A length moves bits by
    its place for each person who can take it. So None says that no sharing fits, except where there
    are more than MOST_STATES combinations, which are not looked at.

    Examples
    --------
    >>> both = frozenset({0, 1})
    >>> shared_out([30, 50, 40, 20], [both] * 4, [70, 70])
    [1, 0, 1, 0]
    >>> shared_out([30, 50, 40, 20], [both] * 4, [65, 75]) is None
    True
    """
    total = sum(lengths)
    spare = sum(most) - total
    if spare < 0 or any(minutes < 0 for minutes in most):
        return None
    if not lengths:
        return []
    unit = gcd(*lengths)
    caps = [minutes // unit for minutes in most]
    sizes = [length // unit for length in lengths]
    spare = sum(caps) - sum(sizes)
    if spare < 0:
        return None
    rest = max(range(len(caps)), key=lambda person: caps[person])
    strides, stride = [0] * len(caps), 1
    for person, cap in enumerate(caps):
        if person != rest:
            strides[person] = stride
            stride *= cap + max(sizes) + 1
    if stride > MOST_STATES:
        return None
    kept = _kept(tuple(cap for p, cap in enumerate(caps) if p != rest), max(sizes))
    states = [1]
    for size, who in zip(sizes, able, strict=True):
        state, after = states[-1], 0
        for person in who:
            after |= state << size * strides[person]
        states.append(after & kept)
    end = _end(states[-1], caps, strides, rest, spare)
    return None if end < 0 else _back(states, sizes, able, strides, end)


def _end(state: int, caps: list[int], strides: list[int], rest: int, spare: int) -> int:
    """A combination that leaves the one whose load is the rest no more than they have: its bit."""
    found = [(0, 0)]
    for person, cap in enumerate(caps):
        if person != rest:
            found = [
                (bit + load * strides[person], left)
                for bit, gone in found
                for load in range(cap, max(cap - spare + gone, 0) - 1, -1)
                if (left := gone + cap - load) <= spare
            ]
    return next((bit for bit, _ in found if state >> bit & 1), -1)


def _back(
    states: list[int], sizes: list[int], able: Sequence[frozenset[int]], strides: list[int], at: int
) -> list[int]:
    chosen: list[int] = []
    for nth in range(len(sizes) - 1, -1, -1):
        for person in sorted(able[nth]):
            before = at - sizes[nth] * strides[person]
            if before >= 0 and states[nth] >> before & 1:
                chosen.append(person)
                at = before
                break
    return chosen[::-1]


@lru_cache(maxsize=512)
def _kept(caps: tuple[int, ...], largest: int) -> int:
    """The bits of all combinations in which nobody has more than they may."""
    bits, stride = 1, 1
    for cap in caps:
        bits = _repeated(bits, stride, cap + 1)
        stride *= cap + largest + 1
    return bits


def _repeated(bits: int, stride: int, times: int) -> int:
    """The same bits so many times, `stride` apart."""
    if times == 1:
        return bits
    half = _repeated(bits, stride, times // 2)
    both = half | half << stride * (times // 2)
    return both | bits << stride * (times - 1) if times % 2 else both
