"""Which column of a table does what, where one heading alone does not say.

"C" may be rated or measured, "V" rated or measuring, "value" a marking or a reading: the other
columns decide. What had to be assumed is told; what stays open is left unread and reported.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from captriage.columns import PARTS
from captriage.readers import vocabulary as words
from captriage.readers.dates import DATE, NAMED, YEAR
from captriage.readers.headings import Heading
from captriage.readers.layout import Table
from captriage.readers.spelling import READING_COLUMNS, heading_unit

_NAME_OF_PART: Final = re.compile(r"[A-Za-z]{1,4}\s?\d{1,4}[A-Za-z]?").fullmatch
_READ_WORDS: Final = """
    reading result readings messwert ergebnis resultat resultado lectura risultato lettura
    resultaat meetwaarde lecture
"""
_READ_NOT_PRINTED: Final = frozenset(_READ_WORDS.split())


@dataclass
class Plan:
    """Headings of a table with every column settled, and what was assumed of which column."""

    headings: list[Heading]
    assumed: dict[int, str] = field(default_factory=dict)
    is_long: bool = False

    def where(self, column: str) -> list[int]:
        """Positions of the columns with this canonical name."""
        return [j for j, heading in enumerate(self.headings) if heading.column == column]

    def has(self, *columns: str) -> bool:
        """Whether the table has any of these columns."""
        return any(heading.column in columns for heading in self.headings)

    def settle(self, j: int, column: str, *, assumed: str = "", problem: str = "") -> None:
        """Column j is ``column`` ("" with a problem)."""
        self.headings[j] = replace(self.headings[j], column=column, problem=problem)
        if assumed:
            self.assumed[j] = assumed


def settle_columns(table: Table) -> Plan:
    """Settle every column of a table with the help of its companions."""
    plan = Plan(list(table.headings))
    for rule in _RULES:
        rule(plan, table)
    return plan


def _name_of_part(plan: Plan, table: Table) -> None:
    if not plan.has(words.PART):
        named = [
            j
            for j in plan.where("capacitance")
            if not plan.headings[j].unit and _are_names(table.cells[j])
        ]
        weak = plan.where(words.WEAK_PART)
        for j in (named or weak)[:1]:
            if named or not plan.has("can"):
                plan.settle(j, words.PART)
    for j in [*plan.where(words.WEAK_PART), *plan.where(words.PART)[1:]]:
        plan.settle(j, words.NOTE)


def _are_names(cells: Sequence[str]) -> bool:
    filled = [cell.strip() for cell in cells if cell.strip()][:50]
    return bool(filled) and all(map(_NAME_OF_PART, filled))


def _long_or_wide(plan: Plan, _: Table) -> None:
    plan.is_long = plan.has(words.QUANTITY) and plan.has(words.VALUE)
    if plan.is_long:
        for column in (words.QUANTITY, words.VALUE):
            for j in plan.where(column)[1:]:
                plan.settle(j, words.NOTE)
        return
    for j in plan.where(words.QUANTITY):
        plan.settle(j, words.NOTE)
    rated = plan.has(words.RATING, "capacitance_rated")
    for j in plan.where(words.VALUE):
        spelling = plan.headings[j].text.lower().strip()
        if (rated or spelling in _READ_NOT_PRINTED) and not plan.has("capacitance"):
            plan.settle(j, "capacitance", assumed=f"'{plan.headings[j].text}' taken as measured")
        elif not rated:
            plan.settle(j, words.RATING)
        else:
            plan.settle(j, "", problem="value of what is not said")


def _rated_or_measured(plan: Plan, _: Table) -> None:
    """A capacitance is measured, unless its companions leave only the rating for it."""
    if plan.is_long or plan.has("capacitance_rated", words.RATING):
        return
    found = plan.where("capacitance")
    plain = [j for j in found if not (plan.headings[j].measured or plan.headings[j].conditions)]
    others = [j for j in found if j not in plain]
    units_only = [j for j in plain if heading_unit(plan.headings[j].text) is not None]
    readings = [
        j
        for j, heading in enumerate(plan.headings)
        if heading.column in READING_COLUMNS and j not in plain
    ]
    name = plan.headings[plain[0]].text if plain else ""
    if len(plain) == 1 and others:
        plan.settle(plain[0], "capacitance_rated", assumed=f"'{name}' taken as rated")
    elif len(units_only) == 1 and len(plain) == 2:
        name = plan.headings[units_only[0]].text
        plan.settle(units_only[0], "capacitance_rated", assumed=f"'{name}' taken as rated")
    elif len(plain) == 1 and not readings and plan.has("voltage_rated", words.VOLTAGE):
        plan.settle(
            plain[0], "capacitance_rated", assumed=f"'{name}' taken as rated: no reading beside it"
        )


def _voltage(plan: Plan, table: Table) -> None:
    for j in plan.where(words.VOLTAGE):
        heading = plan.headings[j]
        leak_before = j > 0 and plan.headings[j - 1].column == "leakage_current"
        marked = any(
            "V" in cell.upper() for k in plan.where(words.RATING) for cell in table.cells[k]
        )
        if plan.is_long or plan.has("voltage_rated") or not plan.has(words.PART, "can"):
            plan.settle(j, "voltage_v")
        elif marked:
            plan.settle(j, "voltage_v" if leak_before else "", problem=_WHICH_VOLTAGE)
        elif leak_before:
            plan.settle(j, "", problem=_WHICH_VOLTAGE)
        else:
            plan.settle(j, "voltage_rated", assumed=f"'{heading.text}' taken as the rated voltage")
    for j in plan.where(words.WORKING):
        marked = any(
            "V" in cell.upper() for k in plan.where(words.RATING) for cell in table.cells[k]
        )
        # Taken as rated it would let a part see more than it is made for.
        text = f"'{plan.headings[j].text}' taken as what the circuit puts on: {_NO_RATED_VOLTAGE}"
        told = plan.has("voltage_rated") or marked
        plan.settle(j, "voltage_working", assumed="" if told else text)


_WHICH_VOLTAGE: Final = "voltage: rated or measuring is not said"
_NO_RATED_VOLTAGE: Final = "the rated voltage is not given"


def _date_of_making(plan: Plan, table: Table) -> None:
    """Years under "date" beside a rating are when the part was made, not when it was read."""
    if plan.has("made", words.TIME, words.CLOCK, "taken_at") or not plan.has(
        words.RATING, "capacitance_rated", "voltage_rated"
    ):
        return
    for j in plan.where(words.DATE)[:1]:
        filled = [cell for cell in table.cells[j] if cell.strip()]
        dated = any(DATE.fullmatch(cell) or NAMED.fullmatch(cell) for cell in filled)
        if any(map(YEAR, filled)) and not dated:
            plan.settle(j, "made", assumed=f"'{plan.headings[j].text}' taken as the year of making")


_ONCE: Final = frozenset(PARTS) - {"note"} | {
    words.RATING,
    "can",
    "section",
    "tolerance",
    words.PART,
}


def _said_twice(plan: Plan, _: Table) -> None:
    """A part has one rating and one age: of two columns for it only the first is read."""
    for column in dict.fromkeys(heading.column for heading in plan.headings):
        if column in _ONCE:
            for j in plan.where(column)[1:]:
                plan.settle(j, "", problem=f"a second column for {column.replace('_', ' ')}")


_RULES: Final[tuple[Callable[[Plan, Table], None], ...]] = (
    _name_of_part,
    _long_or_wide,
    _rated_or_measured,
    _voltage,
    _date_of_making,
    _said_twice,
)
