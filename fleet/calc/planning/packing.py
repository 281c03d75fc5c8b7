"""Sharing minutes out exactly: whether some sharing of lengths among people keeps their minutes."""

from collections.abc import Sequence
from functools import lru_cache
from math import ceil, gcd, prod

import numpy as np

#: Loads are looked at together up to so many combinations.
MOST_STATES = 1_500_000
#: Up to so many combinations are tried one by one for one that leaves enough.
FEW = 1000


def shared_out(
    lengths: Sequence[int], able: Sequence[frozenset[int]], most: Sequence[int]
) -> list[int] | None:
    """Return for each length who of those able takes it, so that nobody has more than `most`.

    Notes
    -----
    All loads that the first lengths can make are kept as the bits of one whole number: a bit for
    each combination of loads of all but one person, whose load is the rest. A length moves bits by
    its place for each person who can take it. So None says that no sharing fits, unless there are
    more than MOST_STATES combinations: then minutes are counted in coarser units, lengths rounded
    up, and a sharing may be missed.

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
    rest = max(range(len(most)), key=lambda person: most[person])
    while (many := _combinations(lengths, most, rest, unit)) > MOST_STATES:
        unit = max(unit + 1, ceil(unit * (many / MOST_STATES) ** (1 / len(most))))
    caps = [minutes // unit for minutes in most]
    sizes = [ceil(length / unit) for length in lengths]
    spare = sum(caps) - sum(sizes)
    if spare < 0:
        return None
    strides, stride = [0] * len(caps), 1
    for person, cap in enumerate(caps):
        if person != rest:
            strides[person] = stride
            stride *= cap + max(sizes) + 1
    kept = _kept(tuple(cap for p, cap in enumerate(caps) if p != rest), max(sizes))
    states = [1]
    for size, who in zip(sizes, able, strict=True):
        state, after = states[-1], 0
        for person in who:
            after |= state << size * strides[person]
        states.append(after & kept)
    end = _end(states[-1], caps, strides, rest, spare)
    return None if end < 0 else _back(states, sizes, able, strides, end)


def _combinations(lengths: Sequence[int], most: Sequence[int], rest: int, unit: int) -> int:
    longest = ceil(max(lengths) / unit)
    return prod(cap // unit + longest + 1 for person, cap in enumerate(most) if person != rest)


def _end(state: int, caps: list[int], strides: list[int], rest: int, spare: int) -> int:
    """A combination that leaves the one whose load is the rest no more than they have: its bit."""
    others = [person for person in range(len(caps)) if person != rest]
    if (spare + 1) ** len(others) > FEW:
        return _any_end(
            state, [(caps[p], strides[p]) for p in others], sum(caps) - caps[rest] - spare
        )
    found = [(0, 0)]
    for person in others:
        found = [
            (bit + load * strides[person], left)
            for bit, gone in found
            for load in range(caps[person], max(caps[person] - spare + gone, 0) - 1, -1)
            if (left := gone + caps[person] - load) <= spare
        ]
    return next((bit for bit, _ in found if state >> bit & 1), -1)


def _any_end(state: int, others: list[tuple[int, int]], least: int) -> int:
    """The same where many combinations may do: the first whose loads come to `least` or more."""
    size = state.bit_length() // 8 + 1
    packed = np.frombuffer(state.to_bytes(size, "little"), dtype=np.uint8)
    bits = np.flatnonzero(np.unpackbits(packed, bitorder="little"))
    loads, left = np.zeros_like(bits), bits
    for _, stride in reversed(others):
        loads, left = loads + left // stride, left % stride
    enough = bits[loads >= least]
    return int(enough[0]) if len(enough) else -1


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


@lru_cache(maxsize=64)
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
