"""What a sheet tells of the parts themselves: ratings, age, role, looks, remarks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.errors import MarkingError
from captriage.readers import vocabulary as words
from captriage.readers.aside import Aside
from captriage.readers.cells import Cell, read_column
from captriage.readers.claims import Attributes
from captriage.readers.datecodes import Made, parse_made
from captriage.readers.layout import Table
from captriage.readers.looks import parse_looks
from captriage.readers.markings import (
    Rating,
    parse_grade,
    parse_polarity,
    parse_rating,
    parse_reform_outcome,
    parse_role,
    parse_tolerance,
    parse_yes_no,
)
from captriage.readers.other_kinds import REMEDY, WHY, other_kind
from captriage.readers.remark_looks import looks_in_remark
from captriage.readers.series import Series, without

T = TypeVar("T")

NUMERIC: Final = {
    # column: unit where the heading gives none
    "voltage_rated": "V",
    "voltage_working": "V",
    "age_years": "",
    "service_hours": "",
    "service_temperature_degc": "",
}
WORDED: Final[dict[str, Callable[[str], str]]] = {
    "grade": parse_grade,
    "polarity": parse_polarity,
    "role": parse_role,
    "in_circuit": parse_yes_no,
    "reform_outcome": parse_reform_outcome,
}
COLUMNS: Final = frozenset(
    (*NUMERIC, *WORDED, "capacitance_rated", words.RATING, "tolerance", "made", "idle_years",
     "construction", words.FAMILY, words.LOOKS, words.NOTE, words.REMARK)
)  # fmt: skip
"""Canonical columns that belong to the part."""

TELL_KIND: Final = ("construction", words.FAMILY, words.NOTE, words.REMARK)
"""Of them, those that may say that the part is no aluminium electrolytic."""

_SINCE: Final = re.compile(r"[^\d]{0,24}((?:18|19|20)\d{2})[^\d]{0,12}")


class AttributeReader:
    """Reads the series of one table that belong to its parts."""

    def __init__(self, table: Table, aside: Aside, *, names: list[str], today_year: int) -> None:
        self.table = table
        self.names = names  # of the part on each row
        self.aside = aside
        self.today_year = today_year
        self.found = Attributes(len(table.lines))

    def read(self, series: Sequence[Series], ratings: dict[int, Rating]) -> Attributes:
        """All attributes; ``ratings`` are those of rows that were divided into sections."""
        notes = sum(1 for one in series if one.column in (words.NOTE, words.REMARK))
        for one in series:
            if one.column not in COLUMNS:
                continue
            self.found.places.setdefault(one.column, (one.number, one.heading.text))
            if one.assumed:
                filled = np.array([bool(text.strip()) for text in one.texts], bool)
                self.found.say(one.rows[filled], one.assumed)
            self._read_one(one, ratings, labelled=notes > 1)
        for row, rating in ratings.items():
            self._take_rating(np.array([row]), rating)
        return self.found

    def _read_one(self, one: Series, ratings: dict[int, Rating], *, labelled: bool) -> None:
        if one.column in TELL_KIND:
            self._of_other_kinds(one)
        if one.column == words.RATING:
            self._ratings(without(one, ratings))
        elif one.column == "capacitance_rated":
            self._capacitance(without(one, ratings))
        elif one.column in NUMERIC:
            self._numbers(one)
        elif one.column in WORDED:
            self._words(one, WORDED[one.column])
        elif one.column == "tolerance":
            self._tolerance(one)
        elif one.column == "made":
            self._made(one)
        elif one.column == "idle_years":
            self._idle(one)
        elif one.column == "construction":
            target = self.found.column("construction")
            for ks, text in self._each(one, lambda text: " ".join(text.lower().split())):
                target[one.rows[ks]] = text
        elif one.column == words.FAMILY:
            self._family(one)
        elif one.column == words.LOOKS:
            self._looks(one)
        else:
            self._note(one, labelled=labelled and one.column == words.NOTE)
            if one.column == words.REMARK:
                self._remarked(one)

    def _refuse(self, one: Series, k: int, reason: str, remedy: str) -> None:
        self.aside.add(
            self.table.file,
            int(self.table.lines[one.rows[k]]),
            column=one.number,
            heading=one.heading.text,
            found=one.texts[k],
            reason=reason,
            remedy=remedy,
        )

    def _refuse_marking(self, one: Series, ks: Iterable[int], error: MarkingError) -> None:
        said, _, remedy = str(error).rpartition("; ")
        reason = (said or remedy).partition(": ")[2] or said or remedy
        for k in ks:
            self._refuse(one, k, reason, remedy)

    def _each(self, one: Series, parse: Callable[[str], T]) -> Iterable[tuple[list[int], T]]:
        """Places of each distinct cell and what it means; what cannot be read is set aside."""
        codes, texts = pd.factorize(np.array(one.texts, object), use_na_sentinel=False)
        order = np.argsort(codes, kind="stable")
        ends = np.cumsum(np.bincount(codes, minlength=len(texts)))
        for text, places in zip(texts, np.split(order, ends)[:-1], strict=True):
            ks = places.tolist()
            if not text or text.isspace():
                continue
            try:
                yield ks, parse(text)
            except MarkingError as error:
                self._refuse_marking(one, ks, error)

    def _numbers(self, one: Series) -> None:
        unit = one.heading.unit or NUMERIC[one.column]
        column = read_column(one.texts, one.column, unit=unit, decimal=self.table.decimal)
        self._store(one, one.column, column.value, column.flag, column.cells)

    def _store(
        self,
        one: Series,
        name: str,
        value: NDArray[np.float64],
        flag: NDArray[np.object_],
        cells: dict[int, Cell],
    ) -> None:
        target = self.found.column(name)
        known = ~np.isnan(value)
        if known.all() and one.rows.size == self.found.n:
            target[:] = value
        else:
            target[one.rows[known]] = value[known]
        self.found.say(one.rows, flag)
        for k, cell in cells.items():
            if cell.problem:
                self._refuse(one, k, cell.problem, cell.remedy)

    def _capacitance(self, one: Series) -> None:
        """Rated capacitance; a cell that holds the whole rating is read as one."""
        column = read_column(
            one.texts, "capacitance_rated", unit=one.heading.unit, decimal=self.table.decimal
        )
        whole = [k for k, cell in column.cells.items() if cell.problem or cell.conditions]
        self._store(one, "capacitance_rated", column.value, column.flag, {})
        for k in whole:
            cell, row = column.cells[k], int(one.rows[k])
            try:
                self._take_rating(np.array([row]), self._rating(one.texts[k]))
            except MarkingError:
                if cell.problem:
                    self._refuse(one, k, cell.problem, cell.remedy)
                for name in ("tolerance_low", "tolerance_high"):
                    if name in cell.conditions:
                        self.found.column(name)[row] = cell.conditions[name]

    def _rating(self, text: str) -> Rating:
        return parse_rating(text, decimal=self.table.decimal)

    def _ratings(self, one: Series) -> None:
        for ks, rating in self._each(one, self._rating):
            if len(rating.capacitances) == 1:  # others were divided into sections before
                self._take_rating(one.rows[ks], rating)

    def _take_rating(self, rows: NDArray[np.int64], rating: Rating) -> None:
        found = self.found
        stated = {
            "capacitance_rated": rating.capacitances[0],
            "voltage_rated": rating.voltages[0],
            "tolerance_low": rating.tolerance_low,
            "tolerance_high": rating.tolerance_high,
        }
        for name, value in stated.items():
            if value == value:
                found.column(name)[rows] = value
        if rating.polarity:
            found.column("polarity")[rows] = rating.polarity
        flags = list(rating.flags)
        if rating.made:
            made = parse_made(rating.made, today_year=self.today_year)
            found.column("made")[rows] = made.year
            flags.append(made.flag)
        for flag in filter(None, flags):
            found.say(rows, flag)

    def _words(self, one: Series, parse: Callable[[str], str]) -> None:
        target = self.found.column(one.column)
        for ks, key in self._each(one, parse):
            target[one.rows[ks]] = key

    def _tolerance(self, one: Series) -> None:
        percent = "%" in one.heading.unit
        for ks, (low, high) in self._each(
            one, lambda text: parse_tolerance(_with_percent(text) if percent else text)
        ):
            self.found.column("tolerance_low")[one.rows[ks]] = low
            self.found.column("tolerance_high")[one.rows[ks]] = high

    def _made(self, one: Series) -> None:
        def parse(text: str) -> Made:
            return parse_made(text, today_year=self.today_year)

        target = self.found.column("made")
        for ks, made in self._each(one, parse):
            target[one.rows[ks]] = made.year
            self.found.say(one.rows[ks], made.flag)
            if np.isnan(made.year):
                reason = made.flag or "not a date of making"
                for k in ks:
                    self._refuse(one, k, reason, "write the year, such as 1959")

    def _idle(self, one: Series) -> None:
        """Years without voltage, or the year since when."""
        texts = list(one.texts)
        target = self.found.column("idle_years")
        since = {text: _SINCE.fullmatch(text) for text in set(texts)}
        years = {text: int(found[1]) for text, found in since.items() if found is not None}
        told = {text for text, year in years.items() if year <= self.today_year}
        for k, text in enumerate(texts) if told else ():
            if text in told:
                target[one.rows[k]] = self.today_year - years[text]
                texts[k] = ""
        column = read_column(texts, "idle_years", unit=one.heading.unit, decimal=self.table.decimal)
        self._store(one, "idle_years", column.value, column.flag, column.cells)

    def _family(self, one: Series) -> None:
        """A grade if it is one, else a note: families and types have names of their own."""
        rest = list(one.texts)
        target = self.found.column("grade")
        for k, text in enumerate(rest):
            if text.strip():
                try:
                    target[one.rows[k]] = parse_grade(text)
                    rest[k] = ""
                except MarkingError:
                    continue
        self._note(Series(one.heading, rest, one.rows, one.number, one.position), labelled=True)

    def _of_other_kinds(self, one: Series) -> None:
        """Refuse what is no aluminium electrolytic: its part is then not judged."""
        for ks, kind in self._each(one, other_kind):
            for k in ks if kind else ():
                self._refuse(one, k, f"{kind}: {WHY}", REMEDY)

    def _looks(self, one: Series) -> None:
        for ks, (keys, leftover) in self._each(one, parse_looks):
            for k in ks:
                row = int(one.rows[k])
                self.found.looks += [(row, key, one.texts[k], one.number) for key in keys]
                if leftover:
                    self._add_note(row, f"{one.heading.text}: {one.texts[k].strip()}")
                if leftover and not keys:
                    self.found.looks.append((row, "unclear", one.texts[k], one.number))
                    remedy = "say it in a word such as sound, bulged, leaked, residue, corroded"
                    self._refuse(one, k, "no look that is known", remedy)

    def _remarked(self, one: Series) -> None:
        """Damage that free remarks tell of, which counts as if it stood under looks."""
        for ks, text in self._each(one, str):
            for row in one.rows[ks].tolist() if looks_in_remark(text) else ():
                keys = looks_in_remark(text, own_name=self.names[row])
                self.found.looks += [(row, key, text, one.number) for key in keys]

    def _note(self, one: Series, *, labelled: bool) -> None:
        for k, text in enumerate(one.texts):
            if text and not text.isspace():
                said = f"{one.heading.text}: {text.strip()}" if labelled else text.strip()
                self._add_note(int(one.rows[k]), said)

    def _add_note(self, row: int, text: str) -> None:
        notes = self.found.column("note")
        notes[row] = f"{notes[row]}; {text}" if notes[row] else text


def _with_percent(text: str) -> str:
    return text if "%" in text or not text.strip()[-1:].isdigit() else f"{text} %"
