"""Plan a reforming run: read what is printed and told, judge what is seen, plan each section."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import isnan, nan
from os import PathLike, fspath
from typing import TYPE_CHECKING, Final

from captriage.errors import CapTriageError
from captriage.jobs.equipment_file import quantity_typed
from captriage.jobs.sheets import ORDINARY, parts_of_marking, this_year
from captriage.reform.equipment import Equipment
from captriage.reform.procedures import OURS_STEPS, procedure_named
from captriage.reform.refusals import called
from captriage.units import format_quantity

if TYPE_CHECKING:
    import pandas as pd

    from captriage.judging.policy import Policy
    from captriage.reform.part import PartToReform
    from captriage.report.reform_plan_words import PlanCard

NEVER: Final = "never"

HARDLY_V: Final = 5.0
"""Highest voltage at which a run is said to be hardly worth its time; ours. [V]"""


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a part beside its rating, as it was typed; "" is not told.

    Attributes
    ----------
    made, tolerance, name, section : str
        Year or date code; as printed; designation; number of the one section that is meant.
    idle, working, diameter, resistance : str
        "25y", "385 V", "35 mm", "1 MΩ".
    polarity, looks : str
        "polar" or "bipolar"; what is seen, in words.
    """

    made: str = ""
    tolerance: str = ""
    name: str = ""
    section: str = ""
    idle: str = ""
    working: str = ""
    diameter: str = ""
    resistance: str = ""
    polarity: str = ""
    looks: str = ""


NOTHING: Final = Told()


@dataclass(frozen=True, slots=True)
class Manner:
    """How it is to be reformed.

    Attributes
    ----------
    procedure : str
        Name of a published procedure.
    fresh_stock : bool
        Whether a person says that it is good stock of known history.
    equipment : Equipment
        What is at hand.
    """

    procedure: str = OURS_STEPS.name
    fresh_stock: bool = False
    equipment: Equipment = field(default_factory=Equipment)


def plan(
    rating: str,
    told: Told = NOTHING,
    *,
    manner: Manner | None = None,
    policy: str | PathLike[str] = ORDINARY,
    today_year: int | None = None,
) -> list[PlanCard]:
    """Plan of a run for a part, or for each section of a can.

    Parameters
    ----------
    rating : str
        What is printed on the part, such as "32 µF 450 V".
    told : Told
        What else is known.
    manner : Manner, optional
        Procedure and equipment; the default procedure, and any resistor, where none is given.
    policy : str or path
        House policy: its criterion of leakage, and what it makes of the looks.
    today_year : int, optional
        Year to reckon ages to; the clock's where none is given.

    Returns
    -------
    list of PlanCard
        One a section.

    Raises
    ------
    CapTriageError
        The part must see no voltage, or something that was told cannot be used.
    """
    from captriage.judging.policy import load_policy
    from captriage.reform.plan import plan_reform
    from captriage.reform.plan_check import check_plan
    from captriage.report.reform_plan_words import PlanCard

    manner = manner or Manner()
    year = this_year() if today_year is None else today_year
    loaded = load_policy(fspath(policy))
    procedure = procedure_named(manner.procedure)
    frame, remarks = parts_of_marking(rating, told.made, told.tolerance, today_year=year)
    frame = _with_polarity(frame, told)
    looks = harmless_looks(frame, told, rating=rating, policy=loaded, today_year=year)
    cards = []
    for row in _rows_meant(frame, told):
        part = part_of(frame.iloc[[row]], told, policy=loaded, today_year=year, of=len(frame))
        part = replace(part, blemishes=looks)
        made = plan_reform(
            part, manner.equipment, procedure=procedure, fresh_stock=manner.fresh_stock
        )
        problems = check_plan(made, manner.equipment)
        if problems:
            raise CapTriageError(
                f"{called(part)}: no plan that may be carried out: {'; '.join(problems)}; change "
                "the equipment or the procedure"
            )
        said = (*remarks, *policy_remarks(part, loaded))
        cards.append(PlanCard(made, part, procedure, loaded.title, said, manner.equipment.meter))
    return cards


def policy_remarks(part: PartToReform, policy: Policy) -> list[str]:
    """What the house policy, or common sense, thinks of reforming such a part at all."""
    if part.voltage_wanted <= HARDLY_V:
        return [
            f"No more than {format_quantity(part.voltage_wanted, 'V')} is wanted of it: such a run "
            "is hardly worth its hours, and the currents are too small for most meters. Put that "
            "voltage on for an hour and read its leakage, or replace it (ours)."
        ]
    if not policy.doubt.reform:
        return [
            f"The house policy {policy.title} replaces what would have to be reformed: this plan "
            "is made because it was asked for."
        ]
    worth = policy.worth
    small = part.capacitance_rated <= worth.capacitance_at_most
    small &= part.voltage_rated <= worth.voltage_at_most and part.sections == 1
    if worth.replace_rather_than_reform and small:
        return [
            f"The house policy {policy.title} replaces parts so small and of so low a voltage: a "
            "fresh one costs less than the time at the bench."
        ]
    return []


def _with_polarity(frame: pd.DataFrame, told: Told) -> pd.DataFrame:
    """The parts, with the polarity that is told in place of the one that is printed."""
    from captriage.readers.part_words import parse_polarity

    polarity = parse_polarity(told.polarity) if told.polarity else ""
    return frame.assign(polarity=polarity) if polarity else frame


def _rows_meant(frame: pd.DataFrame, told: Told) -> list[int]:
    """Rows of the sections that are to be planned.

    Raises
    ------
    CapTriageError
        There is no such section.
    """
    rows = list(range(len(frame)))
    if not told.section:
        if told.working and len(rows) > 1:
            raise CapTriageError(
                f"working voltage: {told.working!r} of which of the {len(rows)} sections? Say it "
                "with --section"
            )
        return rows
    sections = [str(section) for section in frame["section"]]
    if told.section not in sections:
        there = f"there are {', '.join(sections)}" if len(rows) > 1 else "the part has but one"
        raise CapTriageError(f"section: {told.section!r}; {there}")
    return [sections.index(told.section)]


def harmless_looks(
    frame: pd.DataFrame, told: Told, *, rating: str, policy: Policy, today_year: int
) -> tuple[str, ...]:
    """What is seen of a part that may see voltage, by its looks and its resistance.

    Raises
    ------
    CapTriageError
        It must not, or what is told of it is not understood.
    """
    import pandas as pd

    from captriage.columns import LOOKS_COLUMNS, READINGS, SET_ASIDE, Sheets, empty
    from captriage.judging.verdicts import judge_parts
    from captriage.readers.looks import parse_looks

    looks, leftover = parse_looks(told.looks) if told.looks else ((), "")
    if leftover or "unclear" in looks:
        raise CapTriageError(
            f"looks: {leftover or told.looks!r} is not understood; write bulged, vented, leaked, "
            "residue, scorched, split, burst, corroded, dented or sound"
        )
    blank = {"str": "", "category": "", "int64": 0, "float64": nan, "datetime64[us]": pd.NaT}
    ohms = _typed(told.resistance, "Ω", "resistance")
    rows = range(len(frame))
    seen = [{"part_row": row, "look": look, "raw": told.looks} for row in rows for look in looks]
    read = [{"part_row": row, "quantity": "resistance", "value": ohms} for row in rows]
    sheets = Sheets(
        frame.assign(part=[told.name or rating] * len(frame), in_circuit="no"),
        _frame(READINGS, [] if isnan(ohms) else read, blank),
        _frame(LOOKS_COLUMNS, seen, blank),
        empty(SET_ASIDE),
    )
    verdicts = judge_parts(sheets, policy=policy, today_year=today_year).verdicts
    for verdict in verdicts.loc[verdicts["energise"] == NEVER].to_dict("records"):
        raise CapTriageError(
            f"{told.name or rating}: no voltage may be put on it, so there is no plan "
            f"({verdict['because'].rstrip('.')}); {verdict['next']}"
        )
    return tuple(look for look in looks if look != "sound")


def _frame(
    columns: dict[str, str], rows: list[dict[str, object]], blank: dict[str, object]
) -> pd.DataFrame:
    """Frame of these columns; what a row does not name is blank."""
    import pandas as pd

    return pd.DataFrame(
        {name: [row.get(name, blank[kind]) for row in rows] for name, kind in columns.items()}
    ).astype(columns)


def part_of(
    row: pd.DataFrame, told: Told, *, policy: Policy, today_year: int, of: int
) -> PartToReform:
    """What is known of one section, with the limit that the policy holds it to.

    Raises
    ------
    CapTriageError
        Something that was told cannot be read.
    """
    from captriage.judging.leakage_line import leakage_line
    from captriage.reform.part import PartToReform

    first = row.iloc[0]
    rated = float(first["voltage_rated"])
    line = leakage_line(
        row, voltage_v=rated, temperature_degc=nan, policy=policy, today_year=today_year
    )
    return PartToReform(
        capacitance_rated=float(first["capacitance_rated"]),
        voltage_rated=rated,
        limit_a=line.limit,
        soak_s=line.criterion_soak_s,
        reference=line.reference,
        name=told.name,
        section=str(first["section"]),
        sections=of,
        voltage_working=_typed(told.working, "V", "working voltage"),
        idle_years=_typed(told.idle, "a", "time without voltage"),
        age_years=today_year - float(first["made"]),
        polarity=str(first["polarity"]),
        diameter_m=_diameter(told.diameter),
        tolerance_high=float(first["tolerance_high"]),
        looked_at=bool(told.looks),
        tried_for_short=bool(told.resistance),
        proof_fraction=policy.leakage.proof_fraction,
        diagnostic_fraction=policy.leakage.diagnostic_fraction,
    )


def _typed(text: str, unit: str, what: str) -> float:
    """A quantity that was typed; NaN where it was not."""
    return quantity_typed(text, unit, what) if text else nan


def _diameter(text: str) -> float:
    """Diameter that was typed in millimetres. [m]"""
    if not text:
        return nan
    millimetres = quantity_typed(text.removesuffix("mm").strip(), "", "diameter, in mm")
    if not 1 <= millimetres <= 200:
        raise CapTriageError(f"diameter, in mm: {text!r}; from 1 mm to 200 mm is allowed")
    return millimetres / 1000
