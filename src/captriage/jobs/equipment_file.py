"""What is at hand to reform with, from a TOML file and from options; an option comes first."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from captriage.bench.entries import Entries
from captriage.errors import CapTriageError
from captriage.plain_files import short_text
from captriage.reform.equipment import (
    FLOORS,
    METERS,
    UNTOLD_WATTS,
    VOLTMETER,
    Equipment,
    OwnedResistor,
    Supply,
    checked_resistor,
    checked_supply,
    parse_resistors,
    volts_borne,
)
from captriage.units import parse_quantity

ENTRIES: Final = {
    # entry of [supply]: field, unit of its option, and what messages call it
    "voltage_least_v": ("voltage_least", "V", "lowest voltage"),
    "voltage_most_v": ("voltage_most", "V", "highest voltage"),
    "voltage_step_v": ("voltage_step", "V", "voltage step"),
    "current_least_a": ("current_least", "A", "lowest current limit"),
    "current_most_a": ("current_most", "A", "highest current limit"),
    "power_most_w": ("power_most", "", "power"),
}
FLOOR_UNITS: Final = {"ammeter": "A", "voltmeter": "V", "none": "A"}
MOST: Final = 1e6
"""No supply, resistor or meter has a figure beyond this in its unit, save ohms."""


def read_equipment(path: Path) -> Equipment:
    """Equipment from a file.

    Parameters
    ----------
    path : Path
        TOML: a table ``supply`` with voltages, currents and power; a list ``resistors`` of tables
        with ohm, watt, volt and count; a table ``meter`` with kind and floor. Each may be missing.

    Raises
    ------
    CapTriageError
        The file cannot be read, or holds something it may not.
    """
    where = str(path)
    try:
        table = tomllib.loads(short_text(path))
    except OSError as error:
        raise CapTriageError(
            f"{where}: {error.strerror or error}; name a TOML file that says what is at hand"
        ) from error
    except ValueError as error:  # also what is not UTF-8
        raise CapTriageError(f"{where}: {error}; correct the file") from error
    top = Entries(table, where).only("supply", "resistors", "meter")
    supply = top.inner("supply").only(*ENTRIES)
    given = {ENTRIES[name][0]: supply.number(name, 0.0, MOST) for name in supply.table}
    meter = top.inner("meter").only("kind", "floor")
    kind = meter.choice("kind", METERS, VOLTMETER)
    return Equipment(
        supply=checked_supply(Supply(**given)),
        resistors=tuple(_owned(entries) for entries in top.listed("resistors")),
        meter=kind,
        meter_floor=meter.number("floor", 0.0, default=FLOORS[kind]),
    )


def _owned(entries: Entries) -> OwnedResistor:
    """One resistor of the list."""
    entries.only("ohm", "watt", "volt", "count")
    watt = entries.number("watt", 0.0, default=UNTOLD_WATTS)
    owned = OwnedResistor(
        ohm=entries.number("ohm", 0.0),
        watt=watt,
        volt=entries.number("volt", 0.0, default=volts_borne(watt)),
        count=entries.whole("count", 1, 1000, default=1),
        watt_told="watt" in entries.table,
    )
    return checked_resistor(owned, f"{entries.where}: {entries.key}")


def equipment_of(
    path: Path | None,
    supply: Mapping[str, str],
    *,
    resistors: str = "",
    meter: str = "",
    meter_floor: str = "",
) -> Equipment:
    """Equipment of a file, with whatever the options say in its place.

    Parameters
    ----------
    path : Path or None
        The file; None for none.
    supply : mapping of str to str
        Keys of :data:`ENTRIES`, as they were typed: "500 V", "20mA"; "" is not told.
    resistors, meter, meter_floor : str
        As they were typed; "" is not told.

    Raises
    ------
    CapTriageError
        The file or an option cannot be used.
    """
    found = Equipment() if path is None else read_equipment(path)
    given = {
        field: quantity_typed(supply[name], unit, f"supply: {what}")
        for name, (field, unit, what) in ENTRIES.items()
        if supply.get(name)
    }
    found = replace(found, supply=checked_supply(replace(found.supply, **given)))
    if resistors:
        found = replace(found, resistors=parse_resistors(resistors))
    if meter:
        if meter not in METERS:
            raise CapTriageError(f"meter: {meter!r}; one of {', '.join(METERS)}")
        found = replace(found, meter=meter, meter_floor=FLOORS[meter])
    if meter_floor:
        unit = FLOOR_UNITS[found.meter]
        floor = quantity_typed(meter_floor, unit, "meter floor", example=f"10 m{unit}")
        found = replace(found, meter_floor=floor)
    return found


def quantity_typed(text: str, unit: str, where: str, *, example: str = "") -> float:
    """A quantity as it was typed, zero or more, in SI; a number alone is in the unit.

    Raises
    ------
    CapTriageError
        It is none, or negative.
    """
    value = parse_quantity(text.removesuffix("W").strip() if unit == "" else text, unit)
    if math.isnan(value) or value < 0:
        example = example or {"V": "385 V", "A": "20 mA", "a": "25y", "Ω": "4.7 Ω"}.get(unit, "10")
        raise CapTriageError(f"{where}: {text!r} is not understood; write it as {example}")
    return value
