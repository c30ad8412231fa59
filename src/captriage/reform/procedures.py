"""Published ways to reform, as data: voltages, series resistor, holding times, rules, sources.

They differ by several thousand times in the series resistor, because they were written for
different stock: fresh parts in a bag, drives that stood idle, surplus of unknown age. None is right
for all, so one is chosen, never assumed, and a plan says in what it departs from it.

Left out are those that go above the rated voltage or a bit above that of the circuit, those that
feed a part straight from rectified mains, where nothing bounds the voltage, and one whose resistor
grows as the capacitance shrinks, behind which a leaking part never sees its voltage.
"""

from __future__ import annotations

import math
from typing import Final

from captriage.errors import CapTriageError
from captriage.reform.procedure import (
    COMMON,
    HOUR,
    MINUTE,
    MONTHS,
    OURS,
    QUARTERS,
    SECOND_HAND,
    SEEN,
    TENTHS,
    Procedure,
    Schedule,
)
from captriage.reform.procedures_of_restorers import OF_RESTORERS

FRESH_YEARS: Final = 5.0
"""Age up to which a part counts as fresh stock without a word from the person: 1000 h hot and
without voltage stand for at least 5 years in a room (as reported by Wikipedia, "Aluminum
electrolytic capacitor")."""

MAKER_1993_RESISTORS: Final = ((75.0, 10e3), (math.inf, 100e3))
"""10 kΩ up to 75 V, 100 kΩ above: a maker's notice of about October 1993, as copied; see below."""
MAKER_1993_CURRENT: Final = 1e-3
"""The same notice: the voltage is raised so that the current stays at or below 1 mA. [A]"""
STOCK_RESISTORS: Final = ((100.0, 100.0), (math.inf, 1000.0))
"""About 100 Ω up to 100 V, about 1000 Ω above: EIA-815, August 1999."""

OURS_STEPS: Final = Procedure(
    name="ours-steps-to-limit",
    does="25, 50, 75 and 100 % of the voltage, after more than 20 years without voltage 10 % "
    "before them, each held until the current is below the limit moved to that voltage, and below "
    "1 mA, for 30 min at least; before that more may flow, as much as the series resistor lets",
    schedules=(
        Schedule(0.0, QUARTERS, HOUR / 2, HOUR / 2, 4 * HOUR, 8 * HOUR),
        Schedule(20.0, (0.10, *QUARTERS), HOUR / 2, HOUR / 2, 4 * HOUR, 8 * HOUR),
    ),
    source="our own template: series resistor and 1 mA of a maker's notice of about 1993, steps "
    "of a service bulletin for drives",
    standing=OURS,
    resistors=MAKER_1993_RESISTORS,
    current_a=MAKER_1993_CURRENT,
    reject="no fall of the current within 2 h, a current that rises at steady voltage, too much "
    "heat, hiss or smell",
)
"""The default: the slowest current of the published ones, and the gentlest steps."""

PROCEDURES: Final = (
    OURS_STEPS,
    Procedure(
        name="maker-slow-rise-1ma",
        does="raised so slowly through 10 kΩ (up to 75 V) or 100 kΩ that the current stays at or "
        "below 1 mA, then held at full voltage for at least 4 h",
        schedules=(Schedule(0.0, TENTHS, 5 * MINUTE, 4 * HOUR, 2 * HOUR, 8 * HOUR),),
        source="a maker's notice of about October 1993, copied at "
        "http://www.wa4bpj.com/Ham_Radio/Ham_Radio_Tech_Info/capacitor.htm",
        standing=SECOND_HAND,
        resistors=MAKER_1993_RESISTORS,
        current_a=MAKER_1993_CURRENT,
        reject="leakage above its limit on the re-test",
    ),
    Procedure(
        name="stock-rated-1k-hour",
        does="rated voltage at once through about 100 Ω (up to 100 V) or 1000 Ω for 1 h, then "
        "12 to 48 h of rest",
        schedules=(Schedule(0.0, (1.0,), HOUR, HOUR, HOUR, HOUR),),
        source="EIA-815 (August 1999), abstract; the same in a maker's data book quoted at "
        "https://wungiel.pl/19_Feb_2020_15465.html",
        standing=SEEN,
        resistors=STOCK_RESISTORS,
        fresh_stock=True,
        until_limit=False,
    ),
    Procedure(
        name="stock-rated-1k-half-hour",
        does="rated voltage at once through about 1 kΩ for 30 to 60 min",
        schedules=(Schedule(0.0, (1.0,), HOUR / 2, HOUR / 2, HOUR, HOUR),),
        source="a maker's questions and answers on storage, "
        "https://www.chemi-con.co.jp/en/faq/detail.php?id=29BDH9T",
        standing=SEEN,
        resistors=((math.inf, 1000.0),),
        fresh_stock=True,
        until_limit=False,
    ),
    Procedure(
        name="surplus-hold-by-age",
        does="rated voltage through about 30 kΩ for 5 min and 1 min more for each month without "
        "voltage",
        schedules=(Schedule(0.0, (1.0,), 5 * MINUTE, 5 * MINUTE, HOUR, HOUR),),
        source="an old rule of the surplus trade, quoted in the text of a shop's page at "
        "thoitrangredep.vn, which attributes it to makers",
        standing=SECOND_HAND,
        resistors=((math.inf, 30e3),),
        hold_each_idle_year_s=MONTHS * MINUTE,
        reject_drop=0.10,
        reject_after_s=HOUR,
        reject="more than 10 % of the voltage still across the resistor after 1 h (another "
        "wording: 20 %)",
        until_limit=False,
    ),
    Procedure(
        name="amateur-470k-day",
        does="full voltage through 470 kΩ for up to 24 h or more, the drop across the resistor "
        "watched",
        schedules=(Schedule(0.0, (1.0,), HOUR, HOUR, 24 * HOUR, 24 * HOUR),),
        source="a radio amateur's page, http://www.qsl.net/g3oou/reform.html (150 to 470 kΩ are "
        "usual, for parts of 450 V)",
        standing=COMMON,
        resistors=((math.inf, 470e3),),
    ),
    Procedure(
        name="seller-short-5ma",
        does="full voltage through a resistor that lets 5 mA into a short (90 kΩ at 450 V)",
        schedules=(Schedule(0.0, (1.0,), HOUR, HOUR, 24 * HOUR, 24 * HOUR),),
        source="a seller of old-stock cans, https://www.mail-archive.com/amradio@mailman.qth.net/"
        "msg21215.html",
        standing=COMMON,
        short_a=5e-3,
    ),
    Procedure(
        name="drive-from-half",
        does="for drives: nothing within 2 years; full voltage for 30 min within 3; then 50, 75 "
        "and 100 % for 30 min each",
        schedules=(
            Schedule(0.0, (), 0.0, 0.0, 0.0, 0.0),
            Schedule(2.0, (1.0,), HOUR / 2, HOUR / 2, HOUR / 2, HOUR / 2),
            Schedule(3.0, (0.50, 0.75, 1.00), HOUR / 2, HOUR / 2, HOUR / 2, HOUR / 2),
        ),
        source="a service bulletin for drives, quoted at https://forums.mikeholt.com/goto/post?"
        "id=3021954",
        standing=SECOND_HAND,
        until_limit=False,
    ),
    Procedure(
        name="drive-quarters-by-age",
        does="for drives: nothing within 1 year; full voltage for 1 h within 2; then 25 % steps, "
        "of 30 min within 3 years and of 2 h beyond",
        schedules=(
            Schedule(0.0, (), 0.0, 0.0, 0.0, 0.0),
            Schedule(1.0, (1.0,), HOUR, HOUR, HOUR, HOUR),
            Schedule(2.0, QUARTERS, HOUR / 2, HOUR / 2, HOUR / 2, HOUR / 2),
            Schedule(3.0, QUARTERS, 2 * HOUR, 2 * HOUR, 2 * HOUR, 2 * HOUR),
        ),
        source="a trade page on drives, https://industrialmonitordirect.com/blogs/knowledgebase/"
        "vfd-capacitor-shelf-life-and-reforming-procedures",
        standing=SECOND_HAND,
        until_limit=False,
    ),
    *OF_RESTORERS,
)


def procedure_named(name: str) -> Procedure:
    """Procedure of this name.

    Raises
    ------
    CapTriageError
        There is none.
    """
    for procedure in PROCEDURES:
        if procedure.name == name:
            return procedure
    known = ", ".join(procedure.name for procedure in PROCEDURES)
    raise CapTriageError(f"procedure: {name!r} is not known; there are {known}")


def schedule_of(procedure: Procedure, idle_years: float) -> Schedule:
    """Schedule that applies after so long without voltage; the longest where that is not known.

    Parameters
    ----------
    procedure : Procedure
        What is followed.
    idle_years : float
        Time without voltage; NaN not known. [a]
    """
    begun = [
        schedule
        for schedule in procedure.schedules
        if math.isnan(idle_years)
        or idle_years > schedule.idle_from_years
        or not schedule.idle_from_years
    ]
    return begun[-1]


def told_resistance(procedure: Procedure, voltage_rated: float, *, supply_v: float) -> float:
    """Series resistor that a procedure names; NaN where it names none.

    Parameters
    ----------
    procedure : Procedure
        What is followed.
    voltage_rated : float
        By which the resistor is told. [V]
    supply_v : float
        Highest setting of the supply, for a resistor told by the current into a short. [V]
    """
    if not math.isnan(procedure.short_a):
        return supply_v / procedure.short_a
    return next((ohm for highest, ohm in procedure.resistors if voltage_rated <= highest), math.nan)


def holding_time(procedure: Procedure, idle_years: float) -> float:
    """Least time at the last voltage. [s]

    The time without voltage counts only where the procedure has a time for each year of it.
    """
    longer = procedure.hold_each_idle_year_s * idle_years if procedure.hold_each_idle_year_s else 0
    return schedule_of(procedure, idle_years).last_hold_s + longer
