"""Keep what a meter sends, for as long as it is wanted; memory does not grow with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor, inf, isnan, nan, sqrt
from typing import Final

from captriage.bench.asking import Asking, Missing
from captriage.bench.measured import Answer, Reads
from captriage.bench.remarks import remark
from captriage.bench.sitting import ENTER, QUIT, Ended, Part, Sitting
from captriage.bench.telling import answer_figures, counted, figure

KEYS_EVERY_S: Final = 0.1
"""How often the keys are looked at while a meter sends without a pause."""


@dataclass
class Running:
    """Mean and spread of numbers as they come, none of which is kept (Welford's method)."""

    count: int = 0
    mean: float = 0.0
    least: float = inf
    most: float = -inf
    _squares: float = 0.0

    def add(self, number: float) -> None:
        """Take in the next number."""
        self.count += 1
        beside = number - self.mean
        self.mean += beside / self.count
        self._squares += beside * (number - self.mean)
        self.least = min(self.least, number)
        self.most = max(self.most, number)

    @property
    def deviation(self) -> float:
        """Standard deviation of one of them; NaN before the second."""
        return sqrt(self._squares / (self.count - 1)) if self.count > 1 else nan


@dataclass
class StreamSummary:
    """What came of it, as far as it went."""

    taken: int = 0
    wordless: int = 0  # answers without any number
    seconds: float = 0.0
    running: dict[str, Running] = field(default_factory=dict)  # by quantity
    ended: str = ""  # why it ended before its time; "" where it did not

    def sentences(self) -> list[str]:
        """Number, least, mean and most of each quantity."""
        said = [f"{counted(self.taken, 'answer')} in {self.seconds:.1f} s"]
        said += [
            f"{each.count} × {figure(each.mean, name)} on average, "
            f"{figure(each.least, name)} to {figure(each.most, name)}"
            for name, each in self.running.items()
        ]
        if self.wordless:
            said.append(f"{self.wordless} without a number")
        return said


class Stream:
    """One meter, listened to or asked as fast as it answers.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    meter : Reads
        Open, and set up.
    part : Part or None
        To file the answers under; None: under none.
    until_s : float
        How long; for ever where infinite. [s]
    every_s : float
        Least time between two questions; 0 for none. [s]
    conditions : mapping
        As the book names them.
    """

    def __init__(
        self,
        sitting: Sitting,
        meter: Reads,
        *,
        part: Part | None = None,
        until_s: float = inf,
        every_s: float = 0.0,
        conditions: Mapping[str, float] | None = None,
    ) -> None:
        self.sitting, self.meter, self.part = sitting, meter, part
        self.until_s, self.every_s = until_s, every_s
        self.conditions = dict(conditions or {})
        self.summary = StreamSummary()
        self._began_s = sitting.clock.monotonic()
        self._asking = Asking(sitting, until_s=self._began_s + until_s, person=False)
        self._looked_s = -inf
        self._due = 0  # times every_s, when the meter is to be asked next
        self._name = "" if part is None else f"{part.part}  "

    def run(self) -> StreamSummary:
        """Keep until the time is up, or the person ends it.

        Raises
        ------
        BookError
            Something could not be kept; :attr:`summary` says what was.
        """
        clock = self.sitting.clock
        try:
            while (now := clock.monotonic()) - self._began_s < self.until_s:
                self._look(now)
                answer = self._asking.read(self.meter, self.part)
                if not isinstance(answer, Missing):
                    self._keep(answer)
                if self.every_s:
                    self._wait()
        except Ended as why:
            self.summary.ended = str(why)
        finally:
            self.summary.seconds = clock.monotonic() - self._began_s
        return self.summary

    def _wait(self) -> None:
        """Until the next time on a grid from the start; one that has gone by is left out."""
        clock = self.sitting.clock
        past = clock.monotonic() - self._began_s
        self._due = max(self._due + 1, floor(past / self.every_s) + 1)
        clock.sleep(self._due * self.every_s - past)

    def _look(self, now: float) -> None:
        """Obey a key that was pressed."""
        if now - self._looked_s < KEYS_EVERY_S:
            return
        self._looked_s = now
        key = self.sitting.keys.poll()
        if key is None or key == ENTER:
            return
        if self.part is not None:
            remark(self.sitting, self.part, key)
        elif key == QUIT:
            raise Ended("ended by the person")

    def _keep(self, answer: Answer) -> None:
        """On the disk first; shown as taken only then."""
        kept = self.sitting.records.keep(self.part, answer, self.conditions)
        summary = self.summary
        summary.taken += 1
        worded = False
        for value in answer.values:
            if not isnan(value.value):
                worded = True
                summary.running.setdefault(value.quantity, Running()).add(value.value)
        summary.wordless += not worded
        self.sitting.show.taken(
            lambda: f"taken  {self._name}answer {kept.answer}  {answer_figures(answer)}"
        )
