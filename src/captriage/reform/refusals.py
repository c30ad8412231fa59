"""Why a part gets no plan: what makes a run impossible, unsafe or senseless, in words."""

from __future__ import annotations

import math
from typing import Final, NoReturn

from captriage.errors import CapTriageError
from captriage.judging.discharge import SAFE_V
from captriage.model.energy import Hazard, hazard, stored_energy
from captriage.reform.equipment import NO_METER, Equipment
from captriage.reform.part import PartToReform
from captriage.reform.procedure import Procedure
from captriage.reform.procedures import FRESH_YEARS, schedule_of
from captriage.units import format_quantity

HIGHEST_RATED: Final = 630.0
"""Rated voltage above which no single aluminium electrolytic is made, from memory. [V]"""

OLDEST_YEARS: Final = 130.0
"""Since the first electrolytic capacitors were made, in the 1890s; from memory. [a]"""

FRESH_OPTION: Final = "--fresh-stock"


def refuse(
    part: PartToReform, equipment: Equipment, procedure: Procedure, *, fresh_stock: bool
) -> None:
    """Raise CapTriageError where no run may be planned; do nothing where one may.

    Parameters
    ----------
    part, equipment, procedure
        What the run would be planned for.
    fresh_stock : bool
        Whether a person says that this is good stock of known history.

    Raises
    ------
    CapTriageError
        Rating, history, polarity, energy, meter or procedure stand against it.
    """
    _rating(part)
    _history(part)
    _kind(part)
    _procedure(part, procedure, fresh_stock=fresh_stock)
    if equipment.meter == NO_METER and part.voltage_wanted > SAFE_V:
        _no(
            part,
            f"{format_quantity(part.voltage_wanted, 'V')} and no meter: nobody would see the "
            "current rise, nor that the part is discharged",
            "a voltmeter is the least; name it with --meter voltmeter",
        )


def called(part: PartToReform) -> str:
    """The part as messages call it: by its name, else by what is printed on it."""
    rating = ((part.capacitance_rated, "F"), (part.voltage_rated, "V"))
    printed = (format_quantity(each, unit, digits=4) for each, unit in rating if each == each)
    section = f"section {part.section}" if part.section else ""
    return " ".join(filter(None, (part.name or " ".join(printed), section)))


def _no(part: PartToReform, found: str, remedy: str) -> NoReturn:
    raise CapTriageError(f"{called(part)}: {found}; {remedy}")


def _rating(part: PartToReform) -> None:
    """The rating is there and makes sense, and the circuit keeps to it."""
    rated, working = part.voltage_rated, part.voltage_working
    if not part.capacitance_rated > 0 or not math.isfinite(part.capacitance_rated):
        _no(part, "no rated capacitance", "write what is printed, such as 32 µF 450 V")
    if not rated > 0 or not math.isfinite(rated):
        _no(
            part,
            "no rated voltage",
            "write what is printed, such as 32 µF 450 V: without it no voltage is safe",
        )
    if rated > HIGHEST_RATED:
        _no(
            part,
            f"rated {format_quantity(rated, 'V')}, above what any one electrolytic is made for "
            f"({HIGHEST_RATED:g} V, from memory)",
            "look at the print again",
        )
    if not math.isnan(working) and not working > 0:
        _no(part, f"working voltage {working:g} V", "above 0 V is wanted")
    if working > rated:
        _no(
            part,
            f"its circuit puts {format_quantity(working, 'V')} on a part that is rated "
            f"{format_quantity(rated, 'V')}",
            "replace it by one of a higher rating: reforming makes no part bear more than rated",
        )
    if not part.limit_a > 0:
        _no(part, "no limit of leakage current is known for it", "choose another policy")


def _history(part: PartToReform) -> None:
    """Years that can be, and that agree."""
    for what, years in (("made", part.age_years), ("without voltage", part.idle_years)):
        if years < 0:
            _no(part, f"{what} {years:g} years ago", "0 years or more is wanted")
    if part.idle_years > OLDEST_YEARS:
        _no(
            part,
            f"{part.idle_years:g} years without voltage",
            f"no electrolytic is older than about {OLDEST_YEARS:g} years; correct --idle",
        )
    if part.idle_years > part.age_years + 1:  # a date of making is a year, not a day
        _no(
            part,
            f"{part.idle_years:g} years without voltage, but made only {part.age_years:g} years "
            "ago",
            "correct --idle or --made",
        )


def _kind(part: PartToReform) -> None:
    """It is polar, and its energy is one for a bench."""
    if part.polarity == "bipolar":
        _no(
            part,
            "it is bipolar, and no published procedure that was read here is for those: either "
            "foil would have to be healed, each with the leads the other way round",
            "replace it by a new bipolar part",
        )
    if int(hazard(part.capacitance_rated, part.voltage_wanted)) == Hazard.SHOCK_AND_ARC:
        energy = float(stored_energy(part.capacitance_rated, part.voltage_wanted))
        _no(
            part,
            f"{format_quantity(energy, 'J')} at {format_quantity(part.voltage_wanted, 'V')}, an "
            "arc hazard (10 kJ and more, Berkeley Lab)",
            "this is no work for a bench: leave it to people who are licensed for it",
        )


def _procedure(part: PartToReform, procedure: Procedure, *, fresh_stock: bool) -> None:
    """The procedure is for such a part."""
    if procedure.fresh_stock and not fresh_stock and not part.age_years <= FRESH_YEARS:
        age = "not known" if math.isnan(part.age_years) else f"{part.age_years:g} years"
        _no(
            part,
            f"the procedure {procedure.name} puts rated voltage on at once through a small "
            f"resistor and is for good stock of known history, up to {FRESH_YEARS:g} years old; "
            f"the age is {age}",
            f"choose another procedure, or say {FRESH_OPTION} where you know that it is",
        )
    if procedure.fresh_stock and part.idle_years > FRESH_YEARS:
        _no(
            part,
            f"{part.idle_years:g} years without voltage, and the procedure {procedure.name} puts "
            f"rated voltage on at once: no stock is fresh after {FRESH_YEARS:g} years",
            "choose a procedure that begins low",
        )
    if procedure.hold_each_idle_year_s and math.isnan(part.idle_at_most):
        _no(
            part,
            f"the procedure {procedure.name} counts the time without voltage, and that is not told",
            "give --idle or --made",
        )
    if not schedule_of(procedure, part.idle_at_most).fractions:
        _no(
            part,
            f"the procedure {procedure.name} asks for no treatment of a part that was "
            f"{part.idle_at_most:g} a without voltage",
            "a part that leaks so soon has another fault; choose another procedure to try it",
        )
