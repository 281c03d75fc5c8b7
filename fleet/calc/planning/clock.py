"""When a plan's making ends, and who is asked and told meanwhile."""

import time
from dataclasses import dataclass

from fleet.calc.planning.asked import Effort


@dataclass(slots=True)
class Clock:
    """Seconds since `started`; over when they are spent or somebody says stop."""

    effort: Effort
    started: float
    stopped: bool = False

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.started

    @property
    def left(self) -> float:
        return self.effort.seconds - self.seconds

    def stop_asked(self) -> bool:
        asks = self.effort.should_stop
        if not self.stopped and asks is not None and asks():
            self.stopped = True
        return self.stopped

    def over(self) -> bool:
        return self.stop_asked() or self.left <= 0

    def over_but(self, last: float) -> bool:
        """Over, but for the last tenth or so many seconds."""
        return self.stop_asked() or self.left <= min(last, self.effort.seconds / 10)

    def tell(self, best: float, bound: float) -> None:
        if self.effort.on_progress is not None:
            self.effort.on_progress(best, min(best, bound), self.seconds)
