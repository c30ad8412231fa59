"""What is known of each part, and what had to be assumed, as arrays: the rules' one input."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import BEFORE, UNDER_WAY, Sheets
from captriage.judging.limits import LIMIT_CODE, TOLERANCE
from captriage.judging.policy import Policy
from captriage.judging.times import Captures, Timeline, captures, superseded, timeline
from captriage.judging.tolerances import TOLERANCES_USUAL, usual_tolerance

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Rows = NDArray[np.int64]

USUAL_HZ: Final = (100.0, 120.0, 1e3, 1e4, 1e5)
"""Test frequencies that limits are stated at, or bridges are made for."""

ROUNDED: Final = 0.01
"""Share by which a bridge may make, or tell, another frequency than was meant; ours."""

CASE_LOOKS: Final = ("bulged", "vented", "leaked", "scorched", "split", "burst")
"""Damage of the container: seen on one section, it holds for every section of the can."""

CAN_LOOKS: Final = (*CASE_LOOKS, "residue", "warm", "noisy", "reversed", "polarity unclear")


@dataclass(frozen=True)
class Evidence:
    """Parts as arrays of length n, in the row order of ``sheets.parts``."""

    sheets: Sheets
    policy: Policy
    today_year: int
    assumptions: list[tuple[Mask, str]] = field(default_factory=list)
    words: dict[str, tuple[NDArray[np.int64], list[str]]] = field(default_factory=dict)

    @property
    def n(self) -> int:
        """Number of parts."""
        return len(self.sheets.parts)

    def number(self, column: str) -> Floats:
        """A numeric column of the parts, NaN where it was not given."""
        return self.sheets.parts[column].to_numpy(float)

    def word(self, column: str, *values: str) -> Mask:
        """Where a text column of the parts holds one of ``values``."""
        codes, words = self.factorised(column)
        wanted = [code for code, word in enumerate(words) if word in values]
        return np.isin(codes, wanted) if wanted else np.zeros(self.n, bool)

    def factorised(self, column: str) -> tuple[NDArray[np.int64], list[str]]:
        """A text column of few words as codes and words; worked out once."""
        if column not in self.words:
            codes, words = pd.factorize(self.sheets.parts[column].to_numpy(object))
            self.words[column] = codes.astype(np.int64), words.tolist()
        return self.words[column]

    def assume(self, mask: Mask, text: str) -> None:
        """Note what was taken for granted of the parts in ``mask``."""
        if mask.any():
            self.assumptions.append((mask, text))

    @cached_property
    def capacitance_rated(self) -> Floats:
        """Rated capacitance. [F]"""
        return self.number("capacitance_rated")

    @cached_property
    def voltage_rated(self) -> Floats:
        """Rated voltage. [V]"""
        return self.number("voltage_rated")

    @cached_property
    def made(self) -> Floats:
        """Year of making, from the date or the age; NaN unknown."""
        made = self.number("made")
        return np.where(np.isnan(made), self.today_year - self.number("age_years"), made)

    @cached_property
    def age(self) -> Floats:
        """Age in years; NaN unknown."""
        return self.today_year - self.made

    @cached_property
    def tolerance(self) -> tuple[Floats, Floats]:
        """Tolerance as fractions of rated: the printed one, else the usual one of its era."""
        low, high = self.number("tolerance_low"), self.number("tolerance_high")
        missing = ~self.tolerance_told
        if not missing.any():
            return low, high
        usual_low, usual_high, row = usual_tolerance(self.made, self.voltage_rated)
        rated = ~np.isnan(self.capacitance_rated)
        for each in np.unique(row[missing & rated]):
            usual = TOLERANCES_USUAL[each]
            self.assume(
                missing & rated & (row == each),
                f"tolerance not given: the usual one taken, {usual.title} ({usual.standing})",
            )
        return np.where(missing, usual_low, low), np.where(missing, usual_high, high)

    @cached_property
    def tolerance_limit(self) -> NDArray[np.int8]:
        """Place in ``LIMIT_KEYS`` of the tolerance each part is held to."""
        _, _, row = usual_tolerance(self.made, self.voltage_rated)
        usual = np.array([LIMIT_CODE[each.key] for each in TOLERANCES_USUAL], np.int8)[row]
        return np.where(self.tolerance_told, np.int8(LIMIT_CODE[TOLERANCE]), usual)

    @cached_property
    def tolerance_told(self) -> Mask:
        """Parts whose own tolerance is given."""
        given = ~np.isnan(self.number("tolerance_low")) & ~np.isnan(self.number("tolerance_high"))
        return np.asarray(given)

    @cached_property
    def in_circuit(self) -> Mask:
        """Read with other things still connected."""
        return self.word("in_circuit", "yes")

    @cached_property
    def can_row(self) -> Rows:
        """Number of the container each section sits in; plain capacitors have one of their own."""
        codes, cans = self.factorised("can")
        plain = np.array([can == "" for can in cans], bool)[codes]
        numbers = np.where(plain, len(cans) + np.arange(self.n), codes)
        return np.unique(numbers, return_inverse=True)[1].astype(np.int64)

    @cached_property
    def in_can(self) -> Mask:
        """Sections that share their container with another."""
        return (
            (np.bincount(self.can_row, minlength=self.n)[self.can_row] > 1)
            if self.n
            else (np.zeros(0, bool))
        )

    @cached_property
    def looks(self) -> dict[str, Mask]:
        """Look → parts that show it; what concerns the container holds for the whole can."""
        rows = self.sheets.looks["part_row"].to_numpy(np.int64)
        found: dict[str, Mask] = {}
        for look, at in self.sheets.looks.groupby("look", sort=True).indices.items():
            mask = np.zeros(self.n, bool)
            mask[rows[at]] = True
            if look in CAN_LOOKS:
                cans = np.zeros(self.n, bool)
                cans[self.can_row[mask]] = True
                mask = cans[self.can_row]
            found[str(look)] = mask
        return found

    def look(self, *names: str) -> Mask:
        """Parts that show at least one of these looks."""
        mask = np.zeros(self.n, bool)
        for name in names:
            mask |= self.looks.get(name, False)
        return mask

    @cached_property
    def quantity(self) -> NDArray[np.object_]:
        """Quantity of each reading."""
        return self.sheets.readings["quantity"].to_numpy(object)

    def reading(self, column: str) -> Floats:
        """A numeric column of the readings; the frequency is that which was meant."""
        if column == "frequency_hz":
            return self._frequency_meant_hz
        return self.sheets.readings[column].to_numpy(float)

    @cached_property
    def _frequency_meant_hz(self) -> Floats:
        frequency = self.sheets.readings["frequency_hz"].to_numpy(float, copy=True)
        for usual in USUAL_HZ:
            frequency[np.abs(frequency - usual) <= ROUNDED * usual] = usual
        return frequency

    @cached_property
    def reading_part(self) -> Rows:
        """Row of the part each reading belongs to."""
        return self.sheets.readings["part_row"].to_numpy(np.int64)

    @cached_property
    def unread(self) -> dict[int, str]:
        """Row of a part → a cell of its lines that was set aside though it says something of it.

        A heading that is not known, and a doubtful date of making, say nothing against a part.
        """
        aside = self.sheets.set_aside
        idle = aside["reason"].str.startswith("heading not known") | (aside["column"] == 0)
        idle |= aside["remedy"].str.contains("year")
        idle |= aside["heading"].str.lower().str.contains("uncertain")
        telling = aside.loc[~idle, ["file", "line", "heading", "found"]]
        telling = telling.drop_duplicates(["file", "line"])
        found: dict[int, str] = {}
        for table, part in (
            (self.sheets.parts, np.arange(self.n)),
            (self.sheets.readings, self.reading_part),
        ):
            if not len(telling):
                break
            lines = pd.DataFrame(
                {"file": table["source_file"].astype(str), "line": table["line"], "part": part}
            )
            hits = lines.merge(telling, on=["file", "line"]).drop_duplicates("part")
            for row, heading, text in zip(
                hits["part"], hits["heading"], hits["found"], strict=True
            ):
                found.setdefault(int(row), f"{heading}: '{text}'" if heading else f"'{text}'")
        return found

    @cached_property
    def timeline(self) -> Timeline:
        """The readings whose time is told, in time."""
        return timeline(self.sheets.readings)

    @cached_property
    def superseded(self) -> Mask:
        """Readings of an earlier day that were read again: reforming and repair lie between."""
        return superseded(self.timeline, len(self.sheets.readings))

    @cached_property
    def captures(self) -> Captures:
        """The readings, those that were taken in one go taken together."""
        return captures(self.sheets.readings, self.timeline)

    def of_quantity(self, *quantities: str) -> Mask:
        """Readings of one of these quantities."""
        column = self.sheets.readings["quantity"].cat
        wanted = column.categories.get_indexer(pd.Index(quantities))
        return np.isin(column.codes.to_numpy(), wanted[wanted >= 0])

    def flagged(self, *starts: str) -> Mask:
        """Readings of today whose flag begins with one of these words."""
        rows, flags = self.flags
        mask = np.zeros(len(self.sheets.readings), bool)
        mask[rows] = [flag.startswith(starts) for flag in flags]
        return mask & ~self.of_quantity(*BEFORE.values()) if len(rows) else mask

    @cached_property
    def flags(self) -> tuple[Rows, list[str]]:
        """Rows of the readings that carry a flag, and the flags."""
        every = self.sheets.readings["flag"].to_numpy(object)
        rows = np.flatnonzero(every != "")
        return rows, every[rows].tolist()

    @cached_property
    def reformed(self) -> Mask:
        """A reform has been done to its end, whatever came of it."""
        return ~self.word("reform_outcome", "", "not reformed", UNDER_WAY)

    @cached_property
    def long_idle(self) -> Mask:
        """Told to have been without voltage for long, and not reformed since."""
        long: Mask = self.number("idle_years") >= self.policy.history.long_idle_years
        return long & ~self.reformed

    @cached_property
    def untold(self) -> Mask:
        """Nothing is told of idle time, and the part is old, or its age is untold too."""
        quiet = np.isnan(self.number("idle_years")) & ~self.reformed
        return quiet & ~(self.age < self.policy.history.old_from_years)

    @cached_property
    def perhaps_idle(self) -> Mask:
        """Long idle, or perhaps so: its oxide may have faded, and reforming may help."""
        return self.long_idle | self.untold

    @cached_property
    def board_mount(self) -> Mask:
        """Small parts made for a printed board."""
        codes, words = self.factorised("construction")
        return np.isin(codes, [code for code, word in enumerate(words) if "board" in word])

    @cached_property
    def low_voltage(self) -> Mask:
        """Rated below the voltage from which leakage must be proven on an untold history.

        A missing rated voltage counts as high, unless the capacitance is so large, or the
        part so built, that it can hardly be.
        """
        history = self.policy.history
        missing = np.isnan(self.voltage_rated)
        large = self.capacitance_rated >= history.low_voltage_from_capacitance
        taken = missing & (large | self.board_mount)
        self.assume(taken, "rated voltage not given: taken as low by its capacitance or build")
        return (self.voltage_rated < history.proof_from_voltage) | taken

    @cached_property
    def voltage_proof(self) -> Floats:
        """Voltage at which leakage counts: the working voltage, else the rated one. [V]"""
        working = self.number("voltage_working")
        return np.where(np.isnan(working), self.voltage_rated, working)

    @cached_property
    def must_prove_leakage(self) -> Mask:
        """Capacitance and loss alone do not prove these parts: they may have lost their oxide."""
        self.assume(self.untold & ~self.low_voltage, "time without voltage not told: taken as long")
        self.assume(
            self.untold & self.low_voltage,
            "time without voltage not told: not held against a low-voltage part",
        )
        return self.long_idle | (self.untold & ~self.low_voltage)
