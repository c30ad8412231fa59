"""A reforming run as data: steps, resistors and what stops it, to be printed and checked first."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Resistor:
    """What is put in series with a part, or across it: one resistor, or equal ones in series.

    Attributes
    ----------
    ohm : float
        Of all together. [Ω]
    pieces : int
        Equal resistors in series.
    watt, volt : float
        What each piece must be rated for at least. [W], [V]
    """

    ohm: float
    pieces: int
    watt: float
    volt: float


@dataclass(frozen=True, slots=True)
class Step:
    """One voltage of a run.

    Attributes
    ----------
    supply_v : float
        What the supply is set to; never above the rated voltage of the part. [V]
    series_ohm : float
        Between supply and part. [Ω]
    below_a : float
        The step is done once the current has settled below this. [A]
    least_s, most_s : float
        Not sooner, and not later than this the step ends. [s]
    stop_a : float
        Once charging is over, a current above this stops the run; at most the current with which
        ``stop_w`` is in the part, where the resistor lets that be. [A]
    stop_w : float
        Power in the part, its voltage times its leakage current, that stops the run. [W]
    charging_s : float
        Until the part is charged to 99 %, if it did not leak. [s]
    healing_s : tuple of float
        Band of the time that healing is expected to take; our estimate. [s], [s]
    energy_j : float
        In the part at the end of the step. [J]
    """

    supply_v: float
    series_ohm: float
    below_a: float
    least_s: float
    most_s: float
    stop_a: float
    stop_w: float
    charging_s: float
    healing_s: tuple[float, float]
    energy_j: float


@dataclass(frozen=True, slots=True)
class Retest:
    """How it is proven afterwards that the part has come good.

    Attributes
    ----------
    rest_s : float
        Without voltage, before the re-test. [s]
    voltage_v : float
        On the part: its working voltage, else its rated one. [V]
    soak_s : float
        At which the current is read. [s]
    limit_a : float
        Most leakage current then. [A]
    reference : str
        Criterion and source.
    """

    rest_s: float
    voltage_v: float
    soak_s: float
    limit_a: float
    reference: str


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole run for one part.

    Attributes
    ----------
    part : str
        Designation, "" where none is given.
    capacitance_rated, voltage_rated : float
        [F], [V]
    target_v : float
        Highest voltage of the run: at most the rated one. [V]
    procedure : str
        Name of the procedure that it follows.
    source : str
        Where that procedure is published.
    departures : tuple of str
        In what it departs from the procedure, and why.
    steps : tuple of Step
        In ascending order of voltage.
    series, discharge : Resistor
        In series with the part, and across it afterwards.
    short_a : float
        Through the series resistor for ever if the part is shorted. [A]
    supply_limit_a : float
        Current limit that the supply is set to. [A]
    protection_v : float
        Where the supply's own protection is set to switch off. [V]
    ramp_v_per_s : float
        How fast the voltage is raised from step to step. [V/s]
    key_press_s : float
        Somebody must press a key at least so often. [s]
    to_60_s, to_1_s : float
        Through the discharge resistor, from the target voltage down. [s]
    recovery_v : tuple of float
        Band of the voltage that comes back on open terminals. [V], [V]
    retest : Retest
        After the run.
    cautions : tuple of str
        Sentences, the most pressing first.
    section : str
        Of a can, "" where the part is not one of several.
    series_last : Resistor or None
        In place of ``series`` at the steps that name its ohms: it is put in with the supply off
        and the part discharged. None where one resistor does for all.
    questions : tuple of str
        What must be settled before any voltage is put on.
    """

    part: str
    capacitance_rated: float
    voltage_rated: float
    target_v: float
    procedure: str
    source: str
    departures: tuple[str, ...]
    steps: tuple[Step, ...]
    series: Resistor
    discharge: Resistor
    short_a: float
    supply_limit_a: float
    protection_v: float
    ramp_v_per_s: float
    key_press_s: float
    to_60_s: float
    to_1_s: float
    recovery_v: tuple[float, float]
    retest: Retest
    cautions: tuple[str, ...]
    section: str = ""
    series_last: Resistor | None = None
    questions: tuple[str, ...] = ()
