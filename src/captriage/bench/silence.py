"""A meter that a run goes by has fallen silent: the run ends, for nobody sees what flows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.bench.stopping import Stopped

if TYPE_CHECKING:
    from captriage.bench.run_data import Samples

SILENT_S: Final = 1.4
"""A run ends where a meter tells nothing for so long, beside the time from one reading to the next
and what its readings take; ours. [s]"""

TAKES: Final = 2.0  # times what a reading took that the next may take


def check_not_silent(meter: Samples, *, urgent: bool) -> None:
    """Make sure that a meter still tells something.

    Raises
    ------
    Stopped
        It does not; urgent or not, as it is asked.
    """
    if meter.silent_s > SILENT_S + meter.every_s + TAKES * meter.takes_s:
        raise Stopped(f"{meter.meter.name} tells nothing for {meter.silent_s:.1f} s", urgent=urgent)
