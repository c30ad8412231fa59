"""The house policy: every number of a verdict that is not a published limit, as readable TOML."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from captriage.errors import PolicyError

POLICIES: Final = ("ordinary-service", "conserve-originals", "renew-on-doubt")
SCHEMA: Final = 1
CHOICES: Final = {
    "doubt.conditional_fail": ("measure", "reform", "replace"),
    "doubt.worn": ("keep", "replace"),
    "doubt.residue": ("keep", "measure", "replace"),
}


@dataclass(frozen=True)
class Conformity:
    """Probabilities, 0 to 1, that part pass, conditional pass, conditional fail and fail."""

    passed: float
    even: float
    fail: float


@dataclass(frozen=True)
class Uncertainty:
    """Expanded uncertainty (k = 2) as a fraction of a reading that states none."""

    capacitance: float
    esr: float
    tan_delta: float
    leakage_current: float


@dataclass(frozen=True)
class Capacitance:
    """Bounds of capacitance as fractions of rated, and the highest test frequency. [Hz]"""

    open_below: float
    surplus_above: float
    reform_from: float
    worn_below: float
    highest_frequency_hz: float


@dataclass(frozen=True)
class Loss:
    """Criterion of loss: a row of the tan δ limits, and how many times it an aged part may show."""

    tan_delta: str
    times_new: float
    tan_delta_oxide: float
    frequency_lowest_hz: float
    frequency_highest_hz: float


@dataclass(frozen=True)
class Leakage:
    """Criteria of leakage by era, and the voltages at which a reading proves something."""

    vintage: str
    modern: str
    vintage_before: float
    proof_fraction: float
    diagnostic_fraction: float
    rising_factor: float
    rising_share: float
    rising_within_s: float


@dataclass(frozen=True)
class History:
    """What is taken of parts whose past is told, or not told."""

    long_idle_years: float
    old_from_years: float
    proof_from_voltage: float
    low_voltage_from_capacitance: float


@dataclass(frozen=True)
class Life:
    """Rated life and its temperature, for parts whose service is told."""

    hours: float
    temperature_degc: float


@dataclass(frozen=True)
class Conditions:
    """Temperatures between which a reading is held against a 20 °C limit. [°C]"""

    temperature_lowest_degc: float
    temperature_highest_degc: float


@dataclass(frozen=True)
class Short:
    """DC resistance below which the terminals are joined. [Ω]"""

    resistance_below: float


@dataclass(frozen=True)
class Contradiction:
    """How far two readings of one thing may lie apart, as a ratio."""

    ratio: float
    loss_ratio: float


@dataclass(frozen=True)
class Worth:
    """When a fresh part costs less than the bench time of reforming. [F], [V]"""

    replace_rather_than_reform: bool
    capacitance_at_most: float
    voltage_at_most: float


@dataclass(frozen=True)
class Doubt:
    """What doubt leads to."""

    conditional_fail: str
    worn: str
    residue: str
    reform: bool


@dataclass(frozen=True)
class Fit:
    """What a new part may have more of, as a fraction, and must have, as a factor."""

    capacitance_above: float
    voltage_margin: float


@dataclass(frozen=True)
class Confidence:
    """How sure an advice is before the probabilities of its readings, 0 to 1."""

    seen: float
    open_or_short: float
    combined: float
    history_known: float
    history_assumed: float
    without_leakage: float
    without_leakage_blocking: float
    without_loss: float
    without_capacitance: float
    assumed_condition: float
    keep_at_least: float


@dataclass(frozen=True)
class Policy:
    """A house policy, read and checked; see the built-in TOML files for each number's sense."""

    name: str
    title: str
    sentence: str
    conformity: Conformity
    uncertainty: Uncertainty
    capacitance: Capacitance
    loss: Loss
    leakage: Leakage
    history: History
    life: Life
    conditions: Conditions
    short: Short
    contradiction: Contradiction
    worth: Worth
    doubt: Doubt
    fit: Fit
    confidence: Confidence


TABLES: Final = {
    "conformity": Conformity,
    "uncertainty": Uncertainty,
    "capacitance": Capacitance,
    "loss": Loss,
    "leakage": Leakage,
    "history": History,
    "life": Life,
    "conditions": Conditions,
    "short": Short,
    "contradiction": Contradiction,
    "worth": Worth,
    "doubt": Doubt,
    "fit": Fit,
    "confidence": Confidence,
}
FRACTIONS: Final = ("conformity", "confidence", "uncertainty")
RENAMED: Final = {"pass": "passed"}  # a keyword cannot be a field


def policy_text(name: str) -> str:
    """TOML of the built-in policy ``name``, to read or to copy.

    Raises
    ------
    PolicyError
        There is no built-in policy of that name.
    """
    if name not in POLICIES:
        raise PolicyError(f"policy: no built-in policy {name!r}; there are {', '.join(POLICIES)}")
    return (files("captriage.judging") / "policies" / f"{name}.toml").read_text("utf-8")


def load_policy(name: str | Path) -> Policy:
    """Policy by built-in name, or from a TOML file.

    Raises
    ------
    PolicyError
        No such policy, or the file holds something it may not.
    """
    if str(name) in POLICIES:
        return parse_policy(policy_text(str(name)), where=str(name))
    path = Path(name)
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not UTF-8 text"
        raise PolicyError(
            f"{path}: cannot be read ({reason}); name a TOML file or one of {', '.join(POLICIES)}"
        ) from error
    return parse_policy(text, where=str(path))


def parse_policy(text: str, *, where: str) -> Policy:
    """Policy from TOML text, each entry checked.

    Raises
    ------
    PolicyError
        Not TOML, another schema, an entry missing, unknown, of the wrong kind or out of range.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PolicyError(f"{where}: not TOML: {error}; copy a built-in policy") from error
    if data.pop("schema", None) != SCHEMA:
        raise PolicyError(f"{where}: schema is missing or not {SCHEMA}; write schema = {SCHEMA}")
    known = {"name", "title", "sentence", *TABLES}
    for entry in sorted(data.keys() ^ known):
        fault = "unknown" if entry in data else "missing"
        raise PolicyError(f"{where}: {entry} is {fault}; copy a built-in policy and change that")
    for entry in ("name", "title", "sentence"):
        if not isinstance(data[entry], str):
            raise PolicyError(f"{where}: {entry} is {data[entry]!r}; text is wanted")
    tables = {table: parse_table(data[table], table, where=where) for table in TABLES}
    order = tables["conformity"]
    if not order.fail < order.even < order.passed:
        raise PolicyError(f"{where}: conformity is out of order; fail < even < pass is wanted")
    check_criteria(tables, where=where)
    return Policy(**{entry: data[entry] for entry in ("name", "title", "sentence")}, **tables)


def parse_table(table: Any, name: str, *, where: str) -> Any:  # noqa: ANN401
    """One table of a policy as its dataclass; raises PolicyError as :func:`parse_policy` does."""
    kind = TABLES[name]
    if not isinstance(table, dict):
        raise PolicyError(f"{where}: {name} is {table!r}; a table [{name}] is wanted")
    entries: dict[str, Any] = {
        str(RENAMED.get(entry, entry)): value for entry, value in table.items()
    }
    wanted = {field.name: str(field.type) for field in fields(kind)}
    for entry in sorted(entries.keys() ^ wanted.keys()):
        fault = "unknown" if entry in entries else "missing"
        raise PolicyError(f"{where}: {name}.{entry} is {fault}; it holds {', '.join(table)}")
    return kind(
        **{
            entry: parse_entry(value, f"{name}.{entry}", wanted[entry], where=where)
            for entry, value in entries.items()
        }
    )


def parse_entry(value: Any, entry: str, kind: str, *, where: str) -> Any:  # noqa: ANN401
    """One entry, checked for its kind and range; raises PolicyError."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if kind == "float":
        if not number or not abs(value) < float("inf"):
            raise PolicyError(f"{where}: {entry} is {value!r}; a number is wanted")
        table = entry.split(".")[0]
        if table in FRACTIONS and not 0 <= value <= 1:
            raise PolicyError(f"{where}: {entry} is {value}; 0 to 1 is allowed")
        if entry != "capacitance.worn_below" and value < 0:
            raise PolicyError(f"{where}: {entry} is {value}; 0 or more is allowed")
        return float(value)
    if kind == "bool" and not isinstance(value, bool):
        raise PolicyError(f"{where}: {entry} is {value!r}; true or false is wanted")
    if kind == "str" and not isinstance(value, str):
        raise PolicyError(f"{where}: {entry} is {value!r}; text is wanted")
    if entry in CHOICES and value not in CHOICES[entry]:
        raise PolicyError(
            f"{where}: {entry} is {value!r}; one of {', '.join(CHOICES[entry])} is allowed"
        )
    return value


def check_criteria(tables: dict[str, Any], *, where: str) -> None:
    """Raise PolicyError where a named criterion is no published limit."""
    from captriage.judging.limits import LEAKAGE_LIMITS, TAN_DELTA_LIMITS

    for entry, value, allowed in (
        ("loss.tan_delta", tables["loss"].tan_delta, TAN_DELTA_LIMITS),
        ("leakage.vintage", tables["leakage"].vintage, LEAKAGE_LIMITS),
        ("leakage.modern", tables["leakage"].modern, LEAKAGE_LIMITS),
    ):
        if value not in allowed:
            raise PolicyError(f"{where}: {entry} is {value!r}; one of {', '.join(allowed)}")
