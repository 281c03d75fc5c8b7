"""Generated road tests: a known shake under noise, gravity anywhere, samples missing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CIRCUMFERENCE = 2.4


@dataclass(frozen=True)
class RoadTest:
    """Time (s), acceleration (n, 3) in m/s², and speed (m/s), read once a second."""

    time: Floats
    acceleration: Floats
    speed: Floats


def clock(rng: np.random.Generator, seconds: float, rate: float) -> Floats:
    """Moments of the samples, each a little off, as a phone's are."""
    count = int(seconds * rate)
    return np.asarray(np.sort(np.arange(count) / rate + rng.normal(0, 0.03 / rate, count)))


def direction(rng: np.random.Generator) -> Floats:
    """Any direction in space, of length 1."""
    found = rng.normal(size=3)
    return np.asarray(found / np.linalg.norm(found))


def recorded(
    rng: np.random.Generator,
    time: Floats,
    shake: Floats,
    speed: Floats | None = None,
    *,
    noise: float = 0.3,
    missing: float = 0.1,
) -> RoadTest:
    """Put a shake into a record: gravity and shake in any directions, noise, samples lost."""
    still = 9.80665 * direction(rng)
    acceleration = still + np.outer(shake, direction(rng)) + rng.normal(0, noise, (time.size, 3))
    seen = np.full(time.size, np.nan)
    if speed is not None:
        once_a_second = np.flatnonzero(np.diff(np.floor(time), prepend=-1) > 0)
        seen[once_a_second] = speed[once_a_second] + rng.normal(0, 0.1, once_a_second.size)
    kept = rng.random(time.size) >= missing
    return RoadTest(time[kept], acceleration[kept], seen[kept])


def tone(time: Floats, hertz: float, amplitude: float = 1.0) -> Floats:
    """A steady shake."""
    return np.asarray(amplitude * np.sin(2 * np.pi * hertz * time + 0.7))


def wheel_shake(time: Floats, speed: Floats, order: float = 1.0) -> Floats:
    """A shake `order` times a turn of the wheel, at a speed that changes."""
    way = np.concatenate([[0.0], np.cumsum(np.diff(time) * (speed[1:] + speed[:-1]) / 2)])
    return np.asarray(np.sin(2 * np.pi * order * way / CIRCUMFERENCE))


def ringing(time: Floats, hertz: float, damping: float, hit: float) -> Floats:
    """A shake that a bump starts and that dies away, of damped frequency `hertz`."""
    since = np.maximum(time - hit, 0)
    decay = damping / np.sqrt(1 - damping**2) * 2 * np.pi * hertz
    swing = 3 * np.exp(-decay * since) * np.cos(2 * np.pi * hertz * since + 0.4)
    return np.where(time > hit, swing, 0.0)
