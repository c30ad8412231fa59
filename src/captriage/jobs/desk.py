"""What every way of logging begins with: the book, the job and its parts, open meters, a run."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from contextlib import ExitStack
from datetime import date
from math import isfinite
from types import TracebackType
from typing import TYPE_CHECKING, Final, Self

from captriage.bench.sitting import Keys, Show, Sitting
from captriage.bench.steadiness import Noise
from captriage.bench.typist import Typist
from captriage.errors import BookError
from captriage.jobs.bench_meters import MeterAt, OpenMeter, opened
from captriage.jobs.records import BookRecords

if TYPE_CHECKING:
    from captriage.bench.measured import Clock
    from captriage.bench.profile import Profile
    from captriage.jobs.advice import LiveAdvice
    from captriage.judging.policy import Policy
    from captriage.store.rows import PartRow

Where = str | os.PathLike[str]

ORDINARY: Final = "ordinary-service"
"""The house policy that is meant where none is named."""


class Desk:
    """A job of a book, and what is opened for it; all is let go at the end of the ``with``.

    Parameters
    ----------
    where : str or path
        Book.
    name : str
        Job.
    keys, show : Keys, Show
        The person's keys, and what the person sees.
    clock : Clock, optional
        Real time where none is given.
    today_year : int, optional
        Year ages are reckoned to; that of the clock where none is given.

    Raises
    ------
    BookError
        There is no such book or job.
    """

    def __init__(
        self,
        where: Where,
        name: str,
        *,
        keys: Keys,
        show: Show,
        clock: Clock | None = None,
        today_year: int | None = None,
    ) -> None:
        from captriage.bench.clock import SystemClock
        from captriage.store.book import Book

        self.keys, self.show = keys, show
        self.typist = Typist(keys, show)
        self.clock = clock or SystemClock()
        self.today_year = date.today().year if today_year is None else today_year
        self._closing = ExitStack()
        self.book = self._closing.enter_context(Book.open(where))
        try:
            self.job = self.book.job(name)
            self.rows = self.book.parts(self.job.id)
        except BaseException:
            self._closing.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._closing.__exit__(kind, error, trace)

    def parts(self) -> list[PartRow]:
        """The parts of the job.

        Raises
        ------
        BookError
            It has none.
        """
        if not self.rows:
            raise BookError(
                f"{self.book.name}: job {self.job.name} has no parts; "
                "give a list of them with --parts SHEET"
            )
        return self.rows

    def part(self, name: str) -> PartRow:
        """The part of this name.

        Raises
        ------
        BookError
            The job has none.
        """
        found = next((row for row in self.parts() if row.part == name), None)
        if found is None:
            there = ", ".join(row.part for row in self.rows[:20])
            raise BookError(
                f"{self.book.name}: job {self.job.name} has no part {name}; it has {there}"
            )
        return found

    def meter(self, meant: MeterAt, function: str, **settings: float) -> OpenMeter:
        """A meter, open and set up; settings that are NaN are left to its profile.

        Raises
        ------
        ProfileError
            The profile is not known, or the meter cannot do that.
        Gone, Silent, Garbled
            It cannot be reached.
        """
        meter = self._closing.enter_context(
            opened(meant, typist=self.typist, show=self.show, clock=self.clock)
        )
        given = {name: value for name, value in settings.items() if isfinite(value)}
        meter.reads.use(function, **given)
        return meter

    def sitting(
        self,
        kind: str,
        meter: OpenMeter,
        settings: Mapping[str, str | float],
        *,
        alike: Iterable[int] = (),
    ) -> Sitting:
        """Begin a run with a meter.

        Parameters
        ----------
        kind : str
            Of the run.
        meter : OpenMeter
            The meter; its own settings are kept with those given.
        settings : mapping
            ``function``, and what else the run is to be known by.
        alike : iterable of int
            Earlier runs that measured the same.
        """
        run_id = self.book.begin_run(
            self.job.id,
            kind,
            meter=meter.reads.name,
            profile=meter.meant.profile,
            address=meter.meant.address,
            identity=meter.identity,
            settings={
                **settings,
                **meter.reads.settings,
                "not_read_back": list(meter.unread),
                "accuracy_from": "" if meter.profile is None else meter.profile.accuracy_from,
            },
        )
        who = f": {meter.identity}" if meter.identity else ""  # some cannot tell
        told = f"{run_id} in {self.book.name}, job {self.job.name}, {kind}{who}"
        self.show.tell("run", told)
        records = BookRecords(self.book, self.job.id, run_id, alike=alike)
        if meter.unread:
            said = f"{meter.reads.name}: {spoken(meter.unread)} set, not read back"
            records.event("note", said)
            self.show.tell("note", f"{said}: see on its display that it is so")
        return Sitting(records, self.keys, self.show, self.clock)

    def advice(
        self, policy: Policy, *, frequency_hz: float, quantities: Sequence[str]
    ) -> LiveAdvice:
        """Limits and verdicts, which are worked out while hands are busy."""
        from captriage.jobs.advice import LiveAdvice

        advice = LiveAdvice(
            self.book,
            self.job.id,
            self.rows,
            policy=policy,
            today_year=self.today_year,
            frequency_hz=frequency_hz,
            quantities=quantities,
        )
        self._closing.callback(advice.close)
        return advice


def spoken(settings: Iterable[str]) -> str:
    """Settings as a person calls them: "frequency_hz" is the frequency."""
    return " and ".join(name.rpartition("_")[0] or name for name in settings)


def noise_of(profile: Profile | None, function: str) -> Noise:
    """How far readings of a steady part differ, by the profile of its meter."""
    from captriage.bench.accuracy import noise

    accuracy = {} if profile is None else profile.functions[function].accuracy

    def of(quantity: str, value: float) -> float:
        return noise(value, accuracy.get(quantity, ()))

    return of
