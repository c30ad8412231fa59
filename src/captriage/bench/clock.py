"""The real clock."""

from __future__ import annotations

import time
from datetime import UTC, datetime


class SystemClock:
    """Time of this computer; what :class:`captriage.bench.measured.Clock` asks for."""

    def utc(self) -> datetime:
        """Wall clock, aware, UTC; may be set, forwards or back, while a run goes on."""
        return datetime.now(UTC)

    def monotonic(self) -> float:
        """Seconds that only ever grow."""
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        """Wait; nothing to wait for returns at once."""
        if seconds > 0:
            time.sleep(seconds)
