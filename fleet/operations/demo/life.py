"""How joints really loosen and wear in the demo: nobody in it knows this.

Weibull in use since the fastener was last turned (or the part fitted), its hazard multiplied by
the planted causes of fixtures/demo/truth.json.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fleet.calc.units import use_si
from fleet.operations.demo import inputs
from fleet.records.models import Vehicle

Rng = np.random.Generator
NEVER = float("inf")
# A joint that came into the fleet had run at most this share of its scale (own).
USED_UP = 0.45


@dataclass(frozen=True)
class Life:
    """The truth about one vehicle: how much faster or slower than its kind it lives."""

    vehicle: Vehicle
    frailty: float
    rng: Rng

    @classmethod
    def of(cls, vehicle: Vehicle, rng: Rng) -> "Life":
        spread = inputs.read("truth")["loosening"]["spread_cv"] ** 2
        return cls(vehicle, float(rng.gamma(1 / spread, spread)), rng)

    def scale_si(self, what: str, kind: str) -> float:
        """The scale of a joint kind in this vehicle's own use; infinite where it never does."""
        miles = inputs.read("truth")[what]["scale"].get(kind)
        return NEVER if miles is None else miles_si(self.vehicle, miles)

    def loosens_after(self, kind: str, factor: float, age: float = 0.0) -> float:
        """Use from now until the fastener lets go, given how long it has held."""
        duty = inputs.read("truth")["duty"][self.vehicle.duty]
        return self._draw("loosening", kind, self.frailty * duty * factor, age)

    def wears_after(self, kind: str, factor: float, age: float = 0.0) -> float:
        """Use from now until play shows."""
        return self._draw("wear", kind, self.frailty * factor, age)

    def sooner(self, kind: str, age: float, left: float, factor: float) -> float:
        """Use left of a part that has run for `age`, once it wears so many times as fast."""
        scale, shape = self.scale_si("wear", kind), inputs.read("truth")["wear"]["shape"]
        if NEVER in (scale, left):
            return left
        spent = (age / scale) ** shape
        rest = ((age + left) / scale) ** shape - spent
        return float(scale * (spent + rest / factor) ** (1 / shape) - age)

    def _draw(self, what: str, kind: str, hazard: float, age: float) -> float:
        scale, shape = self.scale_si(what, kind), inputs.read("truth")[what]["shape"]
        unit = float(self.rng.exponential())
        if scale == NEVER:
            return NEVER
        return float(scale * ((age / scale) ** shape + unit / hazard) ** (1 / shape) - age)

    def age_at_start(self, what: str, kind: str) -> float:
        """How long a joint had held when its vehicle came into the record."""
        scale, share = self.scale_si(what, kind), float(self.rng.random())
        return 0.0 if scale == NEVER else scale * USED_UP * share


def miles_si(vehicle: Vehicle, miles: float) -> float:
    """Miles in the vehicle's own use: metres, or the seconds that an hour meter counts."""
    if vehicle.counts_hours:
        return miles / float(inputs.read("truth")["hour_in_miles"]) * 3600
    return float(use_si(miles, "mi"))


def cause(name: str) -> dict[str, Any]:
    """One planted cause."""
    found: dict[str, Any] = inputs.read("truth")["causes"][name]
    return found
