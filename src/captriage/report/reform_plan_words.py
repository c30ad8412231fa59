"""A reforming plan in words: its steps as rows, what is set up, what stops it, what proves it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, isnan
from typing import Final

from captriage.judging.discharge import SAFE_V
from captriage.reform.equipment import AMMETER, NO_METER, VOLTMETER
from captriage.reform.part import PartToReform
from captriage.reform.procedure import OURS, Procedure
from captriage.reform.resistors import in_words
from captriage.reform.retest_step import retest_step, smaller_resistor, through
from captriage.reform.step_rules import current_at_heat, current_at_limit
from captriage.reform.steps import Plan, Retest, Step
from captriage.report.figures import duration, rating
from captriage.units import format_quantity

STEP_HEADS: Final = (
    ">step",
    ">supply",
    ">part sees",
    ">done below",
    ">at least",
    ">at most",
    ">stop above",
    ">stop at",
)
TIME_HEADS: Final = (
    ">step",
    ">through",
    ">drop at end",
    ">charged in",
    "heals in, if it does",
    ">stored",
)
NEVER_SO_HOT: Final = "–"
METER_TAKES_OHM: Final = 10e6
"""What a usual voltmeter loads with; common practice. [Ω]"""


@dataclass(frozen=True, slots=True)
class PlanCard:
    """A plan, what it is for, and what was taken of the marking.

    ``policy`` is the title of the house policy, ``remarks`` are on the reading of the rating,
    ``meter`` is one of :data:`captriage.reform.equipment.METERS`.
    """

    plan: Plan
    part: PartToReform
    procedure: Procedure
    policy: str
    remarks: tuple[str, ...] = ()
    meter: str = VOLTMETER

    @property
    def title(self) -> str:
        """The part in words."""
        printed = rating(self.part.capacitance_rated, self.part.voltage_rated)
        section = f"section {self.part.section}" if self.part.section else ""
        return ", ".join(filter(None, (self.part.name, printed, section)))

    @property
    def history(self) -> str:
        """Age and time without voltage in words."""
        age, idle = self.part.age_years, self.part.idle_years
        made = "age not told" if isnan(age) else f"{age:g} years old"
        without = "" if isnan(idle) else f", {idle:g} years without voltage"
        return made + without

    @property
    def takes(self) -> str:
        """Least and most time of all steps in words."""
        least, most = (sum(times) for times in zip(*map(_times, self.plan.steps), strict=True))
        return f"{roughly(least)} at least, {roughly(most)} at most"


def _times(step: Step) -> tuple[float, float]:
    return step.least_s, step.most_s


def roughly(seconds: float) -> str:
    """A time to two digits: "2.7 min", "82 min", "3.3 h"."""
    if seconds < 1:
        return "under 1 s"
    for length, unit, most in ((1.0, "s", 90.0), (60.0, "min", 90.0), (3600.0, "h", 1e9)):
        if seconds < most * length:
            return f"{format_quantity(seconds / length, '', digits=2)} {unit}"
    return duration(seconds)


def heals_in(step: Step) -> str:
    """Band of the healing time in words."""
    least, most = step.healing_s
    return "at once" if most < 1 else f"{roughly(least)} to {roughly(most)}"


def part_sees(step: Step) -> float:
    """Voltage on the part at the current that ends the step. [V]"""
    return step.supply_v - step.below_a * step.series_ohm


def heat_that_stops(step: Step) -> str:
    """Heat in the part that stops the run; "–" where the resistor never lets so much into it."""
    reached = current_at_heat(step.stop_w, step.supply_v, series_ohm=step.series_ohm)
    return format_quantity(step.stop_w, "W", digits=2) if isfinite(reached) else NEVER_SO_HOT


def step_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Cells of :data:`STEP_HEADS`, a row a step."""
    return [
        (
            str(number),
            format_quantity(step.supply_v, "V", digits=4),
            format_quantity(part_sees(step), "V"),
            format_quantity(step.below_a, "A"),
            duration(step.least_s),
            duration(step.most_s),
            format_quantity(step.stop_a, "A"),
            heat_that_stops(step),
        )
        for number, step in enumerate(plan.steps, 1)
    ]


def time_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Cells of :data:`TIME_HEADS`, a row a step."""
    return [
        (
            str(number),
            format_quantity(step.series_ohm, "Ω"),
            format_quantity(step.below_a * step.series_ohm, "V"),
            roughly(step.charging_s),
            heals_in(step),
            format_quantity(step.energy_j, "J"),
        )
        for number, step in enumerate(plan.steps, 1)
    ]


def bench_rows(card: PlanCard) -> list[tuple[str, str]]:
    """What is set up before the run: name and value in words."""
    plan = card.plan
    rows = [("series resistor", in_words(plan.series))]
    if plan.series_last is not None:
        rows.append((f"at step {len(plan.steps)}", f"{in_words(plan.series_last)}, in its place"))
    limit = format_quantity(plan.supply_limit_a, "A")
    highest = format_quantity(plan.target_v, "V", digits=4)
    trips = f"at {format_quantity(plan.protection_v, 'V', digits=4)}, where it has one"
    reached = "; it does not pass 60 V" if plan.to_60_s == 0 else ""
    rows += [
        ("shorted part", f"draws {format_quantity(plan.short_a, 'A')} for ever; they stand it"),
        ("supply", f"never set above {highest}; current limit {limit}; its own protection {trips}"),
        ("current", how_read(plan, card.meter)),
        ("discharge", f"{in_words(plan.discharge)}; {discharge_times(plan)}{reached}"),
        *_for_retest(card),
        ("shorting link", "a wire with insulated clips, on as soon as it reads discharged"),
    ]
    return rows


def how_read(plan: Plan, meter: str) -> str:
    """How the current is read, and what a voltmeter takes."""
    if meter == NO_METER:
        return "no meter: nobody sees it"
    if meter == AMMETER:
        most = format_quantity(plan.short_a, "A")
        said = f"an ammeter between series resistor and part; it has to bear {most}"
        return f"{said}{_floats(plan, 'it')}"
    in_use = [plan.series, *([plan.series_last] if plan.series_last else [])]
    each = " and ".join(
        f"{format_quantity(1 / has.ohm, 'A')} through {format_quantity(has.ohm, 'Ω')}"
        for has in in_use
    )
    takes = format_quantity(plan.target_v / METER_TAKES_OHM, "A")
    return (
        f"an ammeter before the part, or a voltmeter across the series resistor: 1 V is {each}. "
        f"What a voltmeter across the part takes is read with it, its voltage over 10 MΩ, up to "
        f"{takes}: reckon that off, and move no lead while there is voltage"
        f"{_floats(plan, 'the meter at the resistor')}"
    )


def _floats(plan: Plan, meter: str) -> str:
    """What a meter must bear to earth that is not at the negative side of the part."""
    if plan.target_v <= SAFE_V:
        return ""
    volts = format_quantity(plan.target_v, "V", digits=4)
    return (
        f". All of {meter}, its leads too, is at up to {volts} to earth: the voltage and the "
        "category (CAT) that they are rated for must cover that, and nobody touches it"
    )


def _for_retest(card: PlanCard) -> list[tuple[str, str]]:
    """The resistor that a re-test may ask for, as a row."""
    has = smaller_resistor(card.plan, card.part.proof_fraction)
    if has is None:
        return []
    return [("for a re-test", f"{in_words(has)}: only where the re-test below asks for it")]


def discharge_times(plan: Plan) -> str:
    """How long the discharge takes, in words."""
    last = f"below 1 V after {format_quantity(plan.to_1_s, 's')}"
    if plan.to_60_s == 0:
        return last
    return f"below 60 V after {format_quantity(plan.to_60_s, 's')}, {last}"


def proof(card: PlanCard) -> list[str]:
    """What follows the run, and what it has to show."""
    test = card.plan.retest
    volts = format_quantity(test.voltage_v, "V", digits=4)
    step = retest_step(card.plan)
    ohms = format_quantity(step.series_ohm, "Ω")
    return [
        f"Rest without voltage, shorted, for {duration(test.rest_s)} to {duration(2 * test.rest_s)}"
        ", then take the link off and measure that nothing has come back.",
        f"Leakage at {volts} through {ohms}, {duration(test.soak_s)} after the voltage is on: at "
        f"most {format_quantity(step.below_a, 'A')}, {_why_at_most(step, test)}; on all of {volts} "
        f"the limit is {format_quantity(test.limit_a, 'A')} ({test.reference})."
        f"{_proves(card, step.below_a)} Hold it beside the current as soon after that voltage was "
        "put on in the run: if it is no less now, nothing has healed.",
        "Capacitance within 10 % of that before the run, ESR at most 1.2 times that of before it "
        "(shelf-life test, IEC 60384-4 subclause 4.17, as a data sheet gives it). If the current "
        "is back, it did not heal: replace it.",
    ]


def _why_at_most(step: Step, test: Retest) -> str:
    """What bounds the current of the re-test."""
    limit = current_at_limit(
        test.limit_a, test.voltage_v, supply_v=test.voltage_v, series_ohm=step.series_ohm
    )
    if step.below_a < limit:
        return f"for more is too near to the {format_quantity(step.stop_a, 'A')} that stop it there"
    return f"for the part then sees {format_quantity(part_sees(step), 'V')}"


def _proves(card: PlanCard, most_a: float) -> str:
    """Up to which current a re-test proves the part; "" where all that is allowed does."""
    fraction, plan = card.part.proof_fraction, card.plan
    proves_a = (1 - fraction) * plan.retest.voltage_v / plan.steps[-1].series_ohm
    if proves_a >= most_a:
        return ""
    smaller = smaller_resistor(plan, fraction)
    again = "a smaller resistor."
    if smaller is not None:
        step = through(plan, smaller)
        again = (
            f"{in_words(smaller)}; there at most {format_quantity(step.below_a, 'A')}, and "
            f"{format_quantity(step.stop_a, 'A')} stop it."
        )
    return (
        f" Above {format_quantity(proves_a, 'A')} the part sees less than {100 * fraction:.0f} %, "
        f"which proves nothing good: read it again through {again}"
    )


def stops(card: PlanCard) -> list[str]:
    """When to switch off, in words."""
    said = [
        "the current, once charging is over, is above the column, or rises at steady voltage",
        "the heat in the part, its voltage times its current, is above the column; the case is "
        "10 K warmer than the room; hiss, smell or a seal that moves",
        "there is no fall of the current within 2 h and it is not below the column yet",
    ]
    if card.procedure.reject and card.procedure.standing != OURS:
        said.append(f"the procedure itself rejects at: {card.procedure.reject}")
    return said
