"""What a reforming curve says, in words: state, forecast, law, and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isfinite, isnan
from typing import Final

from captriage.judging.cautions import discharge
from captriage.model.energy import stored_energy
from captriage.model.withstand import recovery_voltage
from captriage.reform.curves import FALLING, TOO_EARLY, Progress, Rating
from captriage.reform.plan_cautions import BEFORE_TOUCHING, BURST, DEADLY, NEVER_ALONE
from captriage.report.figures import duration, percent
from captriage.report.read_curve import ReadCurve
from captriage.units import format_quantity

LEAST_OF_UNIT: Final = 0.1
"""Of a unit, below which a time is said in a smaller one; ours."""


def told(read: ReadCurve) -> Iterator[tuple[str, str]]:
    """What is to be said of the whole curve, each after a word that says what it is about."""
    progress, rating = read.progress, read.rating
    for warning in read.warnings:
        yield "WARNING", f"{warning}."
    sure = how_sure(progress)
    yield "state", f"{progress.state}, {sure} sure" if sure else progress.state
    never = "; put no voltage on it again" if read.is_condemned else ""
    yield "advice", f"{progress.advice}{never}"
    yield "because", f"{progress.because}."
    limit = (
        f"{format_quantity(rating.limit_a, 'A')} at {format_quantity(rating.voltage_rated, 'V')}"
    )
    if isfinite(progress.limit_a) and progress.limit_a != rating.limit_a:
        limit += f", {format_quantity(progress.limit_a, 'A')} at the voltage now on the part"
    yield "limit", f"{limit}: {read.reference}"
    if when := forecast(progress):
        yield "forecast", when
    if law := fitted(progress):
        yield "law", law
    outcome = "what was seen of it condemns it" if read.is_condemned else read.outcome
    yield "outcome", f"{outcome}{_still_to_do(read)}"


def _still_to_do(read: ReadCurve) -> str:
    """What a settled current does not prove yet."""
    if read.outcome == "settled above limit":
        return (
            "; before it goes: was it out of its circuit, with no bleeder across it, and is the "
            "series resistor the one that is told?"
        )
    if read.outcome != "settled below limit":
        return ""
    return (
        "; no proof yet: 24 to 48 h without voltage, then its leakage at "
        f"{format_quantity(read.rating.target_v, 'V')}, and capacitance and ESR again"
    )


def forecast(progress: Progress) -> str:
    """When the current reaches the limit, in words; "" where it is not falling towards it."""
    if progress.state != FALLING or isnan(progress.forecast_s) or not progress.steps:
        return ""
    low, high = progress.forecast_low_s, progress.forecast_high_s
    if progress.forecast_s == inf:
        return f"may never reach the limit; not before {duration(low)} after the log began"
    ends = hours_between(low, high) if high < inf else f"{hours(low)}, or never"
    now = progress.steps[-1].ends_s
    left = max(progress.forecast_s - now, 0.0)
    return (
        f"reaches the limit {beside(progress.forecast_s, high)} after the log began "
        f"(90 %: {ends}), "
        f"{hours(left)} from its end"
    )


def fitted(progress: Progress) -> str:
    """The law that was fitted to the last step, or why none could be.

    Returns
    -------
    str
        "" where none was tried, or the readings do not tell the current that stays from nought.
    """
    law = progress.law
    if law is None:
        return ""
    if law.failure:
        return (
            f"no single one could be fitted to the last step ({law.failure}); state and forecast "
            "weigh all that may be"
        )
    if not law.floor_a > law.floor_error_a:
        return ""
    floor, flaw = format_quantity(law.floor_a, "A"), format_quantity(law.flaw_a, "A")
    return (
        f"{floor} (± {format_quantity(law.floor_error_a, 'A')}) that stays, and {flaw} at "
        f"first that falls, in the end with time to the power of {-law.exponent:.2f} "
        f"(± {law.exponent_error:.2f}); standard errors, the averages within "
        f"{percent(law.residual)}"
    )


def hours(seconds: float) -> str:
    """A forecast as said at the bench: "40 s", "12 min", "3.5 h"; "never"."""
    if seconds == inf:
        return "never"
    for length, unit in ((3600.0, "h"), (60.0, "min")):
        if seconds >= 2 * length:
            return f"{format_quantity(seconds / length, '')} {unit}"
    return f"{seconds:.0f} s"


def hours_between(low_s: float, high_s: float) -> str:
    """An interval of times in one unit, that of its end: "1.93 h to 2.14 h"; "12 min to never".

    Where its beginning is a small share of that unit, each has its own: "40 s to 3 h".
    """
    return f"{beside(low_s, high_s)} to {hours(high_s)}"


def beside(seconds: float, other_s: float) -> str:
    """A time in the unit that another one is said in, where it is no small share of that unit."""
    _, _, unit = hours(other_s).partition(" ")
    length = {"h": 3600.0, "min": 60.0}.get(unit, 1.0)
    if inf in (seconds, other_s) or seconds < LEAST_OF_UNIT * length:
        return hours(seconds)
    return f"{format_quantity(seconds / length, '')} {unit}"


def how_sure(progress: Progress) -> str:
    """How sure the state is; "" where it is none, or is sure of nothing."""
    if progress.state == TOO_EARLY or not progress.sure > 0:
        return ""
    return percent(progress.sure)


def cautions(rating: Rating) -> list[str]:
    """Cautions for who goes on from here, the most pressing first."""
    volts = rating.target_v
    energy = float(stored_energy(rating.capacitance_rated, volts))
    said = [DEADLY]
    if isfinite(energy):
        said.append(
            f"At {format_quantity(volts, 'V')} it stores {format_quantity(energy, 'J')}"
            f"{discharge(rating.capacitance_rated, volts)}."
        )
    said += [NEVER_ALONE, BURST, BEFORE_TOUCHING]
    low, high = (format_quantity(float(end), "V") for end in recovery_voltage(volts))
    said.append(
        f"It can recover {low} to {high} by itself after it was discharged: leave a shorting link "
        "across it."
    )
    return said
