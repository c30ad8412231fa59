"""The real clock, which goes on while the machine sleeps."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Final

# Linux alone stops its monotonic clock while it is suspended, and has another that goes on.
_WITH_SLEEP: Final[int | None] = getattr(time, "CLOCK_BOOTTIME", None)


class SystemClock:
    """Time of this computer; what :class:`captriage.bench.measured.Clock` asks for."""

    def utc(self) -> datetime:
        """Wall clock, aware, UTC; may be set, forwards or back, while a run goes on."""
        return datetime.now(UTC)

    def monotonic(self) -> float:
        """Seconds that only ever grow, those in which the machine was suspended among them.

        A part may be changed for another, or stay under voltage, while the machine sleeps.
        """
        return time.monotonic() if _WITH_SLEEP is None else time.clock_gettime(_WITH_SLEEP)

    def sleep(self, seconds: float) -> None:
        """Wait; nothing to wait for returns at once."""
        if seconds > 0:
            time.sleep(seconds)
