"""What is said where lifetimes can't be told: never a number, always what is missing."""

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "no_spells": "there is no spell to learn from",
    "no_finds": "no spell ended with a find; a life needs some that did",
    "never_tight": "no joint was found tight before it was found loose; look sooner",
    "one_moment": "every spell agrees with one and the same life, so that the spread can't be told;"
    " a look that is tight later than another that is loose would tell it",
    "falling": "finds only come sooner than looks that were tight, more so than any Weibull life",
    "not_converged": "the search for the best life did not settle",
    "nobody_at_risk": "nobody was under watch through a find while others came in later",
    "too_few_finds": "too few finds",
    "too_few_vehicles": "the finds are on too few vehicles",
    "past_seen": "no joint was found tight so long after it was turned",
    "too_wide": "the lower bound of the life is no use: it can't be told from none at all",
}


class LifeError(ValueError):
    """Spells that a life can't be told from.

    Attributes
    ----------
    code : str
        Stable name of what is missing, a key of `MESSAGES`; translate by it.
    have, need : float or None
        How much there is and how much it takes, where that can be counted: finds, vehicles, or
        metres or seconds of use.
    """

    def __init__(self, code: str, have: float | None = None, need: float | None = None) -> None:
        self.code, self.have, self.need = code, have, need
        counted = "" if have is None or need is None else f" (have {have:g}, need {need:g})"
        super().__init__(f"{MESSAGES[code]}{counted}")

    @property
    def missing(self) -> float | None:
        """How much more it takes, where that can be counted."""
        return None if self.have is None or self.need is None else self.need - self.have

    def __reduce__(self) -> tuple[type["LifeError"], tuple[str, float | None, float | None]]:
        return type(self), (self.code, self.have, self.need)
