"""The plan of a run: from a file, from the book's part, or of the re-test; checked before power."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from math import isclose, isnan
from pathlib import Path
from typing import TYPE_CHECKING, Final

from captriage.errors import CapTriageError
from captriage.plain_files import short_text
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.profile import Profile
    from captriage.jobs.desk import Where
    from captriage.reform.equipment import Equipment, Supply
    from captriage.reform.steps import Plan
    from captriage.store.rows import PartRow

ALIKE: Final = 0.01
"""Share by which a rating in a plan and in the book may differ."""

FINEST_V: Final = 1e-3  # step of a supply that is set over a wire
RETEST_LATE: Final = 1.1
"""Times its soak after which the current of a re-test is still that of the soak."""

LATE_S: Final = 5.0


@dataclass(frozen=True, slots=True)
class Asked:
    """How a plan is asked for, where it is not given.

    Attributes
    ----------
    procedure : str
        Name of a published procedure; "" for the default one.
    equipment : Path or None
        Equipment file.
    """

    procedure: str = ""
    equipment: Path | None = None


def read_plan(path: Path, *, section: str = "") -> Plan:
    """Plan from a file that ``captriage reform plan --format json`` has written.

    Parameters
    ----------
    path : Path
        The file.
    section : str
        Of a can, where it holds several plans.

    Raises
    ------
    CapTriageError
        It cannot be read, or holds no plan, or several.
    """
    from captriage.reform.plan_data import plan_of_data

    where = str(path)
    try:
        data = json.loads(short_text(path))
    except OSError as error:
        raise CapTriageError(f"{where}: {error.strerror or error}; name a plan") from error
    except (ValueError, RecursionError) as error:
        raise CapTriageError(f"{where}: {error}; write the plan again") from error
    listed = data.get("plans") if isinstance(data, dict) else None
    plans = [plan_of_data(each, where) for each in (listed if listed is not None else [data])]
    meant = [plan for plan in plans if not section or plan.section == section]
    if len(meant) != 1:
        there = ", ".join(plan.section or "one without a section" for plan in plans) or "none"
        raise CapTriageError(f"{where}: {len(meant)} plans are meant; there is {there}")
    return meant[0]


def plan_of_row(
    row: PartRow, asked: Asked, profile: Profile | None, *, policy: Where, today_year: int
) -> Plan:
    """Plan for a part as it stands in the book.

    Raises
    ------
    CapTriageError
        The part must see no voltage, too little is known of it, or the equipment does not do.
    """
    from captriage.jobs.reform_plan import Manner, Told, plan

    told = Told(
        made="" if isnan(row.made) else f"{row.made:g}",
        name=row.part,
        idle="" if isnan(row.idle_years) else f"{row.idle_years:g}y",
        working="" if isnan(row.voltage_working) else f"{row.voltage_working:g} V",
        polarity=row.polarity,
    )
    ratings = ((row.capacitance_rated, "F"), (row.voltage_rated, "V"))
    rating = " ".join(
        format_quantity(value, unit, digits=6) for value, unit in ratings if not isnan(value)
    )
    manner = Manner(equipment=equipment_of(asked, profile))
    if asked.procedure:
        manner = replace(manner, procedure=asked.procedure)
    cards = plan(rating, told, manner=manner, policy=policy, today_year=today_year)
    return cards[0].plan


def equipment_of(asked: Asked, profile: Profile | None) -> Equipment:
    """What is at hand: the equipment file, and the limits of the supply's profile."""
    from captriage.jobs.equipment_file import read_equipment
    from captriage.reform.equipment import AMMETER, FLOORS, Equipment, Supply

    if asked.equipment is not None:
        return read_equipment(asked.equipment)
    found = Equipment(meter=AMMETER, meter_floor=FLOORS[AMMETER])
    return found if profile is None else replace(found, supply=supply_of(profile, Supply()))


def supply_of(profile: Profile, known: Supply) -> Supply:
    """A supply with the limits of its profile."""
    low_v, high_v = profile.limits.get("voltage_v", (known.voltage_least, known.voltage_most))
    low_a, high_a = profile.limits.get("current_a", (known.current_least, known.current_most))
    return replace(
        known,
        voltage_least=low_v,
        voltage_most=high_v,
        current_least=low_a,
        current_most=high_a,
        voltage_step=FINEST_V,
    )


def retest_of(plan: Plan) -> Plan:
    """The plan of the re-test that proves a part: one voltage, one soak, its limit.

    The limit is that of the voltage which the series resistor leaves on the part.
    """
    from captriage.reform.retest_step import retest_step

    soak_s = plan.retest.soak_s
    step = replace(retest_step(plan), least_s=soak_s, most_s=RETEST_LATE * soak_s + LATE_S)
    short_a = step.supply_v / step.series_ohm
    return replace(plan, steps=(step,), target_v=step.supply_v, short_a=short_a)


def check_run(plan: Plan, row: PartRow, profile: Profile | None, *, where: str) -> None:
    """Check a plan dry: against the part of the book, by itself, and against the supply.

    Raises
    ------
    CapTriageError
        Something stands against it.
    """
    from captriage.bench.held_supply import check_supply
    from captriage.bench.soak_plan import check_voltage
    from captriage.bench.under_control import check_supply_reach
    from captriage.reform.plan_check import check_plan

    for name, unit in (("capacitance_rated", "F"), ("voltage_rated", "V")):
        told, planned = getattr(row, name), getattr(plan, name)
        if not isclose(told, planned, rel_tol=ALIKE):
            known = "not told" if isnan(told) else format_quantity(told, unit)
            raise CapTriageError(
                f"{row.part}: {name.replace('_', ' ')} is {known} in the book, and "
                f"{format_quantity(planned, unit)} in the plan; plan anew, or correct the part"
            )
    problems = check_plan(plan)
    if problems:
        raise CapTriageError(f"{row.part}: the plan may not be carried out: {'; '.join(problems)}")
    for step in plan.steps:
        check_voltage(row, step.supply_v)
    if profile is not None:
        check_supply(profile, where=where)
        check_supply_reach(profile, plan, where=where)
