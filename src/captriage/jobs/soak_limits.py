"""What is said before a part is put under voltage: cautions, and the limit it is held to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.meter import SUPPLY
from captriage.bench.soak_plan import Plan
from captriage.columns import KEEP
from captriage.errors import CapTriageError
from captriage.report.figures import duration
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.sitting import Part, Sitting
    from captriage.jobs.bench_meters import OpenMeter
    from captriage.jobs.desk import Desk
    from captriage.judging.policy import Policy
    from captriage.store.rows import PartRow

NOTHING_SHARE: Final = 0.01  # of the limit: a current this far below nought flows backwards
FAR_ABOVE: Final = 20.0  # times the limit: no leakage of a part that could be kept; ours
CHARGED_AFTER_S: Final = 10.0  # by then charging is over, through any usual resistor; ours
THROUGH_A_RESISTOR: Final = (
    "Apply the voltage through a series resistor and raise it slowly: a part that is shorted or "
    "breaks down would draw all that the supply gives."
)
RESISTOR: Final = "--series-resistor OHM"
NEVER: Final = "never"


@dataclass(frozen=True)
class SoakLimit:
    """Limit of leakage current of a part that soaks.

    Attributes
    ----------
    limit, soak_s : float
        The limit, and the time it is stated for; NaN where none is known. [A], [s]
    """

    limit: float = nan
    soak_s: float = nan

    def line(self, until_s: float) -> Sequence[tuple[float, float]]:
        """Soak time [s] and limit [A], as it is drawn: from the time it is stated for on.

        Of one that is stated for a time after the end there is its beginning alone.
        """
        if isnan(self.limit):
            return ()
        ends = (self.soak_s, max(self.soak_s, until_s))
        return tuple((at, self.limit) for at in dict.fromkeys(ends))

    def says(self, soak_s: float, current: float) -> str:
        """What a reading at a soak time means for the limit; "" where nothing can be said."""
        if isnan(current) or isnan(self.limit):
            return ""
        most, when = format_quantity(self.limit, "A"), duration(self.soak_s)
        early = soak_s < self.soak_s
        if current < -NOTHING_SHARE * self.limit:
            return "REVERSED: switch off, then see to the leads of the meter and of the part"
        if current > FAR_ABOVE * self.limit and soak_s >= CHARGED_AFTER_S:
            return f"SWITCH OFF: {current / self.limit:.0f} times the limit of {most}"
        if current <= self.limit:
            return f"below the limit of {most}" + (f", that of {when}, already" if early else "")
        if early:
            return f"above {most}; not judged before {when}, it may still fall"
        return f"ABOVE the limit of {most}"


def at_the_part(plan: Plan, part: str, voltmeter: OpenMeter | None) -> tuple[Plan, str]:
    """The plan with what stands between its voltage and the part, and what is not known of it.

    A voltmeter is at the part itself. What a supply shows, and what a person says without a
    voltmeter, may be before a series resistor, which takes current times resistance.

    Parameters
    ----------
    plan : Plan
        As the person gave it.
    part : str
        Name of the part.
    voltmeter : OpenMeter or None
        What measures the voltage.

    Returns
    -------
    (Plan, str)
        The sentence is "" where everything is known.

    Raises
    ------
    CapTriageError
        The voltage is measured at a supply, and the resistor is not told.
    """
    if voltmeter is not None:
        profile = voltmeter.profile
        if voltmeter.meant.name != SUPPLY and (profile is None or profile.kind != SUPPLY):
            return replace(plan, series_ohm=0.0), ""
        if isnan(plan.series_ohm):
            raise CapTriageError(
                f"{voltmeter.meant.name}: it shows its own voltage, before any series resistor, "
                f"not that of {part}; give {RESISTOR} (0 where there is none), or put a voltmeter "
                "across the part"
            )
    if not isnan(plan.series_ohm):
        return plan, ""
    return plan, (
        f"{format_quantity(plan.voltage_v, 'V')} is kept as the voltage on {part}, as you say; a "
        "series resistor takes current times resistance of it, and that is not known: give "
        f"{RESISTOR}, or put a voltmeter across the part"
    )


def tell_doubt(sitting: Sitting, part: Part, doubt: str) -> None:
    """Say what is not known of the voltage, and keep it; nothing where it is ""."""
    if doubt:
        sitting.records.event("note", doubt, part)
        sitting.show.tell("volts", doubt)


def before_soak(desk: Desk, row: PartRow, plan: Plan, policy: Policy) -> SoakLimit:
    """Tell the cautions and the limit, before anything is under voltage.

    What a reforming run in the book has shown of the part counts too.

    Raises
    ------
    CapTriageError
        What is known of the part says that it must see no voltage.
    """
    from captriage.jobs.advice import parts_frame
    from captriage.jobs.curves_in_book import beside_book
    from captriage.judging.cautions import cautions
    from captriage.judging.leakage_line import leakage_line
    from captriage.judging.verdicts import judge_parts

    together = [each.id for each in desk.rows if row.can and each.can == row.can] or [row.id]
    found = desk.book.sheets(desk.job.id, part_ids=together)
    year = desk.today_year
    beside = beside_book(found, desk.book, desk.job.id, policy=policy, today_year=year)
    judgement = judge_parts(beside.sheets, policy=policy, today_year=year)
    for sentence in cautions(judgement):
        desk.show.tell("care", sentence)
    verdict = judgement.verdicts.loc[judgement.verdicts["part"] == row.part].iloc[0]
    if verdict["energise"] == NEVER:
        raise CapTriageError(
            f"{row.part}: no voltage may be put on it ({verdict['because']}); "
            "strike out in the book what is not so, and begin again"
        )
    desk.show.tell("care", THROUGH_A_RESISTOR)
    if verdict["verdict"] != KEEP:
        desk.show.tell("so far", f"{verdict['verdict']}. {verdict['because']} {verdict['next']}")
    line = leakage_line(
        parts_frame([row]),
        voltage_v=plan.voltage_v,
        temperature_degc=plan.temperature_degc,
        policy=policy,
        today_year=year,
    )
    if isnan(line.limit):
        desk.show.tell("limit", "none is known for this part at that voltage and temperature")
        return SoakLimit()
    most, after = format_quantity(line.limit, "A"), duration(line.criterion_soak_s)
    desk.show.tell("limit", f"{most} after {after}: {line.reference}")
    return SoakLimit(line.limit, line.criterion_soak_s)
