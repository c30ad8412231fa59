"""What a reforming run is asked for: the meters of the bench, and what is to be carried out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from captriage.jobs.planned_run import Asked

if TYPE_CHECKING:
    from captriage.jobs.bench_meters import MeterAt
    from captriage.reform.steps import Plan


@dataclass(frozen=True, slots=True)
class RunMeters:
    """What stands on the bench for a run.

    Attributes
    ----------
    ammeter : MeterAt
        In series with the part.
    supply : MeterAt or None
        Under control; None where a person turns the knob of one.
    voltmeter : MeterAt or None
        Across the part; None where the person reads one.
    thermometer : MeterAt or None
        On its case.
    """

    ammeter: MeterAt
    supply: MeterAt | None = None
    voltmeter: MeterAt | None = None
    thermometer: MeterAt | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be carried out.

    Attributes
    ----------
    plan : Plan or None
        None where it is that of the run that is resumed or re-tested, else made anew.
    asked : Asked
        How it is made anew.
    resume, retest : bool
        Go on after the last step that was done; prove the part after its rest.
    every_s : float
        From one reading to the next. [s]
    """

    plan: Plan | None = None
    asked: Asked = field(default_factory=Asked)
    resume: bool = False
    retest: bool = False
    every_s: float = 1.0
