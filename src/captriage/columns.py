"""The one vocabulary: quantities, and the columns of every frame that passes between modules.

All values are SI. A column that is a bare number ends in its unit; the rated and measured
quantities carry the unit of :data:`UNITS`. Nothing else in the package spells a column.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import pandas as pd

CAPACITANCE: Final = "capacitance"
ESR: Final = "esr"
TAN_DELTA: Final = "tan_delta"
LEAKAGE_CURRENT: Final = "leakage_current"
RESISTANCE: Final = "resistance"
IMPEDANCE: Final = "impedance"
CAPACITANCE_BEFORE: Final = "capacitance_before"
ESR_BEFORE: Final = "esr_before"
TAN_DELTA_BEFORE: Final = "tan_delta_before"

QUANTITIES: Final = {
    # name: (unit, what it is)
    CAPACITANCE: ("F", "capacitance, series equivalent unless said"),
    ESR: ("Ω", "equivalent series resistance at a stated frequency"),
    TAN_DELTA: ("", "tangent of the loss angle"),
    LEAKAGE_CURRENT: ("A", "current after the soak time at the measuring voltage"),
    RESISTANCE: ("Ω", "DC resistance between the terminals, as an ohmmeter shows it"),
    IMPEDANCE: ("Ω", "modulus of the impedance at a stated frequency"),
    CAPACITANCE_BEFORE: ("F", "capacitance as it was before the part was reformed"),
    ESR_BEFORE: ("Ω", "equivalent series resistance as it was before the part was reformed"),
    TAN_DELTA_BEFORE: ("", "tangent of the loss angle as it was before the part was reformed"),
}

BEFORE: Final = {
    # What is read again after a reform, and held against what it was: quantities of their own,
    # so that whoever asks for today's capacitance is never given the one of then.
    CAPACITANCE: CAPACITANCE_BEFORE,
    ESR: ESR_BEFORE,
    TAN_DELTA: TAN_DELTA_BEFORE,
}

CURRENT: Final = "current"
VOLTAGE: Final = "voltage"
TEMPERATURE: Final = "temperature"
OUTPUT: Final = "output"
TRIPPED: Final = "tripped"

BENCH_QUANTITIES: Final = {
    # What a meter sends beside QUANTITIES: which of a part's quantities it is, only the
    # bench knows. name: (unit, what it is)
    CURRENT: ("A", "direct current, as an ammeter shows it"),
    VOLTAGE: ("V", "direct voltage, as a voltmeter shows it"),
    TEMPERATURE: ("°C", "temperature"),
    OUTPUT: ("", "output of a supply: 1 on, 0 off"),
    TRIPPED: ("", "protection of a supply: 1 it has switched the output off, 0 it has not"),
}

UNITS: Final = {
    "capacitance_rated": "F",
    "voltage_rated": "V",
    "voltage_working": "V",
    **{name: unit for name, (unit, _) in QUANTITIES.items()},
}

ROLES: Final = {
    "reservoir": "first capacitor after the mains rectifier",
    "smoothing": "later filter section of the supply",
    "cathode bypass": "across a cathode or emitter resistor",
    "coupling": "in the signal path",
    "decoupling": "local supply bypass of a stage",
    "bias supply": "in the grid-bias supply",
    "timing": "sets a time or a frequency",
    "motor": "motor run or start",
    "crossover": "in a loudspeaker crossover",
}

POLARITIES: Final = ("polar", "bipolar")

GRADES: Final = {
    "general purpose": "general-purpose grade",
    "long life": "long-life grade",
    "low impedance": "low-impedance switching-supply types",
}

UNDER_WAY: Final = "under way"
HEALED: Final = "healed"
REBOUNDED: Final = "rebounded"

REFORM_OUTCOMES: Final = {
    "not reformed": "no reforming has been done",
    UNDER_WAY: "reforming goes on, or was left off before the current settled",
    "settled below limit": "reformed; the current settled below the limit",
    HEALED: "reformed; after a rest the current was within the limit again",
    REBOUNDED: "reformed; after a rest the current was above the limit again",
    "settled above limit": "reformed; the current settled above the limit",
    "rising": "reforming was stopped: current rising at steady voltage",
    "broken down": "reforming was stopped: sudden breakdown",
}

LOOKS: Final = {
    "sound": "nothing wrong to be seen",
    "bulged": "case or end domed",
    "vented": "vent open or seal pushed out",
    "leaked": "wet electrolyte outside the case",
    "residue": "old hard residue at a seal or terminal",
    "scorched": "burnt or scorched",
    "split": "case or seal split or cracked",
    "burst": "case burst or exploded",
    "sleeve": "sleeve shrunk, torn or missing",
    "corroded": "terminal or lead corroded",
    "dented": "case dented",
    "reversed": "fitted the wrong way round, or has been run with reversed polarity",
    "polarity unclear": "polarity marks missing or contradicting each other",
    "warm": "grows warm with voltage on",
    "noisy": "hisses or crackles with voltage on",
    "broken terminal": "terminal or lead broken off",
    "unclear": "written, but not understood",
}

PARTS: Final = {
    # column: dtype. One row a section (a plain capacitor is its own only section).
    "part": "str",  # designation, unique: "C12", "Can 1 a"
    "can": "str",  # "" for a plain capacitor
    "section": "str",  # "a", "2", "red" ... within its can
    "capacitance_rated": "float64",
    "voltage_rated": "float64",
    "tolerance_low": "float64",  # fraction of rated, -0.1 for -10 %; NaN where not given
    "tolerance_high": "float64",
    "made": "float64",  # year of making; NaN unknown
    "age_years": "float64",  # age where the sheet gives that instead
    "idle_years": "float64",  # how long without voltage
    "grade": "str",  # key of GRADES or ""
    "construction": "str",  # "can", "axial", "radial", "board mount" ... as written, lower case
    "polarity": "str",  # one of POLARITIES or ""
    "role": "str",  # key of ROLES or ""
    "voltage_working": "float64",
    "service_hours": "float64",
    "service_temperature_degc": "float64",
    "in_circuit": "str",  # "yes", "no" or ""
    "reform_outcome": "str",  # key of REFORM_OUTCOMES or ""
    "note": "str",  # free text, kept; damage in it becomes a look
    "flag": "str",  # what had to be said of its cells, "; " between
    "source_file": "str",
    "line": "int64",
}

READINGS: Final = {
    # column: dtype. Long: one row a value at one condition.
    "part_row": "int64",  # row of the parts frame
    "quantity": "category",  # key of QUANTITIES
    "value": "float64",  # NaN where the cell holds no usable number
    "at_least": "float64",  # bound, where the cell says "> 20 mA" or over-range gives one
    "at_most": "float64",  # bound, where the cell says "< 10 µA"
    "uncertainty": "float64",  # expanded, k = 2, unit of the value; NaN where not given
    "frequency_hz": "float64",  # 0 for a DC (charge) method; NaN unknown
    "voltage_v": "float64",  # measuring voltage on the part
    "temperature_degc": "float64",
    "soak_s": "float64",  # seconds since the measuring voltage was applied
    "taken_at": "datetime64[us]",  # as the sheet has it: local unless it gives a zone, then UTC
    "range_high": "float64",  # end of the meter's range, unit of the value
    "meter": "str",
    "flag": "str",  # "" where nothing is to be said; see FLAGS
    "raw": "str",  # the cell as it stood
    "source_file": "category",
    "line": "int64",
    "column": "int64",  # 1-based
}

PRACTICE: Final = "common practice"
"""What a profile says its accuracy comes from, where that is no maker's figure."""

BY_PRACTICE: Final = f", accuracy by {PRACTICE}"
"""How a meter's name in :data:`READINGS` ends where its uncertainty rests on that."""

FLAGS: Final = {
    # A reading's flag starts with one of these or is free text after the value was used.
    "over range": "the meter showed over-range",
    "no reading": "the meter showed dashes or nothing",
    "not a number": "the meter sent not-a-number",
    "open": "written down as open",
    "short": "written down as short",
    "ambiguous": "two readings of the digits are possible",
    "approximate": "written with ~ or about",
}

LOOKS_COLUMNS: Final = {
    "part_row": "int64",
    "look": "str",  # key of LOOKS
    "raw": "str",
    "source_file": "str",
    "line": "int64",
    "column": "int64",
}

SET_ASIDE: Final = {
    # One row a cell (or line) that could not be used.
    "file": "str",
    "line": "int64",
    "column": "int64",  # 1-based; 0 where the whole line is meant
    "heading": "str",
    "found": "str",  # raw text, whole
    "reason": "str",
    "remedy": "str",
}

FINDINGS: Final = {
    # One row a reading (or part) x rule.
    "part_row": "int64",
    "rule": "category",
    "reading_row": "int64",  # row of the readings frame; -1 where the rule looked at the part
    "outcome": "category",  # one of OUTCOMES
    "probability": "float64",  # that the limit is kept; NaN where not a conformity question
    "value": "float64",
    "low": "float64",  # limits it was held against; NaN where there is none
    "high": "float64",
    "limit": "category",  # key of judge.limits.LIMITS, or policy entry, or ""
    "advice": "category",  # one of ADVICE
    "confidence": "float64",  # in the advice
    "wording": "category",  # which of the rule's sentences
}

OUTCOMES: Final = ("pass", "conditional pass", "conditional fail", "fail", "not judged", "noted")
ADVICE: Final = ("none", "keep", "reform", "measure", "replace")  # the last one wins
KEEP: Final = "keep"
REFORM: Final = "reform"
REPLACE: Final = "replace"
NOT_JUDGED: Final = "not judged"
VERDICT_WORDS: Final = (KEEP, REFORM, REPLACE, NOT_JUDGED)

VERDICTS: Final = {
    "part": "str",
    "can": "str",
    "section": "str",
    "verdict": "category",  # one of VERDICT_WORDS
    "confidence": "float64",  # 0 ... 1
    "decided_by": "category",  # name of the rule
    "because": "str",  # sentence, with the value and the limit it was held against
    "limit": "category",  # that limit in words and where it comes from
    "next": "str",  # the measurement or act that would settle or change it
    "energise": "category",  # "never", "not before reforming", "with care"
    "assumed": "category",  # what had to be assumed, "; " between
    "source": "str",  # "drawer.csv:7"
}


@dataclass(frozen=True)
class Sheets:
    """What was read: frames of :data:`PARTS`, :data:`READINGS`, looks and what was set aside."""

    parts: pd.DataFrame
    readings: pd.DataFrame
    looks: pd.DataFrame
    set_aside: pd.DataFrame


def empty(columns: dict[str, str]) -> pd.DataFrame:
    """Frame of no rows with these columns and dtypes."""
    import pandas as pd  # here alone: the bench logs without waiting for it

    return pd.DataFrame({name: pd.Series([], dtype=dtype) for name, dtype in columns.items()})


def located(readings: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Readings (or looks) with ``part``, ``can``, ``section`` and ``source`` spelt out.

    ``source`` is "file:line:column", or the file of a whole log. Made only for people and
    files: a million strings are not worth carrying through the judging.
    """
    import pandas as pd

    names = parts.loc[readings["part_row"], ["part", "can", "section"]].reset_index(drop=True)
    rest = readings.reset_index(drop=True)
    file = rest["source_file"].astype(str)
    cell = file + ":" + rest["line"].astype(str) + ":" + rest["column"].astype(str)
    source = cell.where(rest["line"] > 0, file)  # what a whole log tells has no line
    return pd.concat([names, rest, source.rename("source")], axis=1)
