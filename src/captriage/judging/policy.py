"""The house policy: every number of a verdict that is not a published limit, as readable TOML."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, fields
from difflib import get_close_matches
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from captriage.errors import PolicyError
from captriage.judging.policy_tables import (
    CHOICES,
    TABLES,
    Capacitance,
    Conditions,
    Confidence,
    Conformity,
    Contradiction,
    Doubt,
    Fit,
    History,
    Leakage,
    Life,
    Loss,
    Reform,
    Short,
    Uncertainty,
    Worth,
    allowed_range,
)
from captriage.plain_files import short_text

POLICIES: Final = ("ordinary-service", "conserve-originals", "renew-on-doubt")
SCHEMA: Final = 1
RENAMED: Final = {"pass": "passed"}  # a keyword cannot be a field


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
    reform: Reform
    short: Short
    contradiction: Contradiction
    worth: Worth
    doubt: Doubt
    fit: Fit
    confidence: Confidence


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
        text = short_text(path)
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
    check_entries(data, ("name", "title", "sentence", *TABLES), where=f"{where}:")
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
    written = {field: entry for entry, field in RENAMED.items()}
    wanted = {field.name: str(field.type) for field in fields(kind)}
    check_entries(
        table, [written.get(field, field) for field in wanted], where=f"{where}: [{name}]"
    )
    entries: dict[str, Any] = {
        str(RENAMED.get(entry, entry)): value for entry, value in table.items()
    }
    return kind(
        **{
            entry: parse_entry(value, f"{name}.{entry}", wanted[entry], where=where)
            for entry, value in entries.items()
        }
    )


def check_entries(found: Iterable[str], wanted: Iterable[str], *, where: str) -> None:
    """Raise PolicyError where an entry is unknown, naming the one that is meant, or missing."""
    found, wanted = list(found), list(wanted)
    missing = [entry for entry in wanted if entry not in found]
    for entry in found:
        if entry not in wanted:
            near = get_close_matches(entry, missing or wanted, n=1)
            meant = f"{near[0]} is probably meant; " if near else ""
            raise PolicyError(f"{where} {entry} is unknown; {meant}it holds {', '.join(wanted)}")
    for entry in missing:
        raise PolicyError(f"{where} {entry} is missing; take it from a built-in policy")


def parse_entry(value: Any, entry: str, kind: str, *, where: str) -> Any:  # noqa: ANN401
    """One entry, checked for its kind and range; raises PolicyError."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if kind == "float":
        if not number or not abs(value) < float("inf"):
            raise PolicyError(f"{where}: {entry} is {value!r}; a number is wanted")
        least, most = allowed_range(entry)
        if not least <= value <= most:
            span = f"{least:g} or more" if most == float("inf") else f"{least:g} to {most:g}"
            raise PolicyError(f"{where}: {entry} is {value}; {span} is allowed")
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
