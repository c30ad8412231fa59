"""Which earlier runs of a job measured the same, so that a walk can go on where one ended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose, isfinite, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.confirming import AGREES
from captriage.errors import BookError

if TYPE_CHECKING:
    from captriage.store.book import Book
    from captriage.store.rows import JobRow, RunRow

PART_BY_PART: Final = "part by part"
TYPED: Final = "typed"

MEASURED: Final = {
    "impedance": "capacitance with ESR",
    "impedance_tan_delta": "capacitance with tan δ",
}


@dataclass(frozen=True, slots=True)
class Measurement:
    """What a walk measures of each part.

    Attributes
    ----------
    function : str
        Of the meter's profile; key of :data:`MEASURED`.
    frequency_hz : float
        NaN where it is not known. [Hz]
    readings : int
        How many of each part; 0 where that is not known.
    typed : bool
        Whether a person types them, each part once.
    """

    function: str
    frequency_hz: float = nan
    readings: int = 0
    typed: bool = False

    @property
    def settings(self) -> dict[str, str | float]:
        """As they are kept with a run."""
        told: dict[str, str | float] = {"function": self.function, "readings": self.readings}
        return told | ({"frequency_hz": self.frequency_hz} if isfinite(self.frequency_hz) else {})

    def same_as(self, other: Measurement) -> bool:
        """Whether parts done by the one need not be measured by the other."""
        known = isfinite(self.frequency_hz) and isfinite(other.frequency_hz)
        once = self.typed or other.typed or not (self.readings and other.readings)
        return (
            self.function == other.function
            and (not known or isclose(self.frequency_hz, other.frequency_hz, rel_tol=AGREES))
            and (once or self.readings == other.readings)
        )

    def __str__(self) -> str:
        """In words: "capacitance with ESR at 120 Hz, 5 readings a part"."""
        said = MEASURED.get(self.function, self.function)
        if isfinite(self.frequency_hz):
            said += f" at {self.frequency_hz:g} Hz"
        if self.readings and not self.typed:
            said += f", {self.readings} reading{'' if self.readings == 1 else 's'} a part"
        return said


def measured_by(run: RunRow) -> Measurement:
    """What an earlier run measured, by what is kept of it."""
    told = run.settings
    frequency, readings = told.get("frequency_hz"), told.get("readings")
    return Measurement(
        str(told.get("function", "")),
        float(frequency) if isinstance(frequency, int | float) else nan,
        int(readings) if isinstance(readings, int | float) else 0,
        typed=run.kind == TYPED,
    )


def runs_alike(runs: Sequence[RunRow], measurement: Measurement) -> list[RunRow]:
    """Runs part by part that measured the same and are not struck out."""
    return [run for run in _walks(runs) if measured_by(run).same_as(measurement)]


def parts_done(book: Book, job: JobRow, measurement: Measurement) -> frozenset[int]:
    """Numbers of the parts that have all their readings, from one run that measured the same.

    Raises
    ------
    BookError
        There are earlier runs, and none of them measured the same.
    """
    runs = book.runs(job.id)
    alike, walks = runs_alike(runs, measurement), _walks(runs)
    if walks and not alike:
        last = walks[-1]
        raise BookError(
            f"{book.name}: run {last.id} of job {job.name} is {measured_by(last)}, this would be "
            f"{measurement}; give the same --function, --frequency and --readings to go on with "
            "it, or leave --resume out to begin anew (what was read stays)"
        )
    wanted = {
        run.id: 1 if run.kind == TYPED else measured_by(run).readings or measurement.readings
        for run in alike
    }
    return frozenset(book.done_parts(job.id, answers=wanted))


def _walks(runs: Sequence[RunRow]) -> list[RunRow]:
    return [run for run in runs if run.kind in (PART_BY_PART, TYPED) and not run.struck]
