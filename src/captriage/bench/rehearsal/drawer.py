"""The drawer of invented specimens: a TOML file to natures."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from captriage.bench.rehearsal.natures import KINDS, Nature
from captriage.errors import CapTriageError
from captriage.units import parse_quantity

SCHEMA: Final = 1
SPARES, REFORMING = "spares", "reforming"
DRAWERS: Final = {
    # name: specimens, parts list
    SPARES: ("rehearsal/specimens.toml", "rehearsal/drawer.csv"),
    REFORMING: ("rehearsal/reforming.toml", "rehearsal/reforming.csv"),
}

QUICK_PLAN: Final = "rehearsal/reforming_plan.json"
QUICK_PART, QUICK_OHM = "D13", 44e3
"""A run of some minutes: its plan, the part that it is made for, and the resistor between."""

QUANTITIES: Final = {
    # key of the file: unit of the text that it holds
    "capacitance_rated": "F",
    "voltage_rated": "V",
    "capacitance": "F",
    "resistance": "Ω",
    "leakage_residual": "A",
    "leakage_flaws": "A",
    "film": "V",
    "breakdown": "V",
    "holds": "V",
}
NUMBERS: Final = (
    "tan_delta_oxide",
    "absorption_share",
    "absorption_exponent",
    "leakage_exponent",
    "flawed_area",
    "loose_share",
    "loose_s",
    "thermal_resistance",
    "thermal_s",
    "leakage_growth_per_k",
    "vents_at_rise_k",
    "closed_s",
    "broken_s",
)
NEEDED: Final = ("kind", "capacitance_rated", "voltage_rated", "capacitance", "resistance")
SPELT_OUT: Final = {"holds": "holds_v", "film": "film_v", "breakdown": "breakdown_v"}


def demo_drawer(name: str = SPARES) -> tuple[Nature, ...]:
    """An invented drawer of the demonstration, by its name in :data:`DRAWERS`."""
    return read_drawer(demo_file(DRAWERS[name][0]))


def parts_list(name: str = SPARES) -> Path:
    """The sheet that lists the parts of such a drawer."""
    return demo_file(DRAWERS[name][1])


def demo_file(name: str) -> Path:
    """A file of the demonstration: in the package, or in a checkout beside it."""
    packaged = Path(str(files("captriage") / "data_demo"))
    return (packaged if packaged.is_dir() else Path(__file__).parents[4] / "data_demo") / name


def read_drawer(path: Path) -> tuple[Nature, ...]:
    """Specimens of a file, in its order.

    Raises
    ------
    CapTriageError
        It cannot be read, or a part in it is described wrongly.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise CapTriageError(f"{path}: {error}; a TOML file of specimens is needed") from error
    if tables.get("schema") != SCHEMA:
        raise CapTriageError(f"{path}: schema is {tables.get('schema')!r}; {SCHEMA} is known")
    parts = {name: told for name, told in tables.items() if isinstance(told, dict)}
    return tuple(_nature(path, part, told) for part, told in parts.items())


def _nature(path: Path, part: str, told: Mapping[str, Any]) -> Nature:
    where = f"{path}: [{part}]"
    allowed = {"kind", "shows", *QUANTITIES, *NUMBERS}
    for key in told:
        if key not in allowed:
            raise CapTriageError(f"{where}: {key!r} is not known; {', '.join(sorted(allowed))}")
    for key in NEEDED:
        if key not in told:
            raise CapTriageError(f"{where}: {key} is missing; every part has one")
    if told["kind"] not in KINDS:
        raise CapTriageError(f"{where}: kind is {told['kind']!r}; {', '.join(KINDS)}")
    values: dict[str, float] = {}
    for key, unit in QUANTITIES.items():
        if key in told:
            values[SPELT_OUT.get(key, key)] = _quantity(f"{where}: {key}", told[key], unit)
    for key in NUMBERS:
        if key in told:
            values[key] = _number(f"{where}: {key}", told[key])
    return Nature(part=part, kind=told["kind"], **values)


def _quantity(where: str, told: object, unit: str) -> float:
    value = parse_quantity(told, unit) if isinstance(told, str) else math.nan
    if not value >= 0:
        raise CapTriageError(f"{where} is {told!r}; a number of zero or more with its unit, {unit}")
    return value


def _number(where: str, told: object) -> float:
    if isinstance(told, bool) or not isinstance(told, int | float) or not told >= 0:
        raise CapTriageError(f"{where} is {told!r}; a number of zero or more")
    return float(told)
