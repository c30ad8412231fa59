"""A drawer of made-up parts for the tests: frames as a reader would give them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE, Sheets, empty
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import Judgement, judge_parts

TODAY = 2026
SI = {"capacitance": 1e-6, "leakage_current": 1e-6}  # parts are typed in µF and µA here
READ = ("capacitance", "esr", "tan_delta", "leakage_current", "resistance", "impedance")


def frame(rows: list[dict], columns: dict[str, str]) -> pd.DataFrame:
    blank = {
        name: "" if dtype in ("str", "category") else np.nan for name, dtype in columns.items()
    }
    blank |= {name: 0 for name, dtype in columns.items() if dtype == "int64"}
    if not rows:
        return empty(columns)
    table = pd.DataFrame([blank | row for row in rows])[list(columns)]
    return table.astype({n: d for n, d in columns.items() if d != "datetime64[us]"})


def sheets(*parts: dict) -> Sheets:
    """Parts as dicts: columns of PARTS with rated in µF, readings by quantity, ``look``, ``more``.

    A reading is a number (µF, Ω, µA) or a dict of READINGS columns; ``more`` lists further ones.
    """
    part_rows, reading_rows, look_rows = [], [], []
    for at, given in enumerate(parts):
        part = dict(given)
        looks = part.pop("look", ())
        readings = [(q, part.pop(q)) for q in READ if q in part] + list(part.pop("more", ()))
        if "capacitance_rated" in part:
            part["capacitance_rated"] *= 1e-6
        part_rows.append({"part": f"C{at + 1}", "source_file": "drawer.csv", "line": at + 2} | part)
        for quantity, reading in readings:
            row = dict(reading) if isinstance(reading, dict) else {"value": reading}
            for key in ("value", "at_least", "at_most", "range_high", "uncertainty"):
                if key in row:
                    row[key] *= SI.get(quantity, 1.0)
            reading_rows.append({"part_row": at, "quantity": quantity, "line": at + 2} | row)
        for look in (looks,) if isinstance(looks, str) else looks:
            look_rows.append({"part_row": at, "look": look})
    return Sheets(
        frame(part_rows, PARTS),
        frame(reading_rows, READINGS),
        frame(look_rows, LOOKS_COLUMNS),
        empty(SET_ASIDE),
    )


def judged(*parts: dict, policy: str = "ordinary-service") -> Judgement:
    return judge_parts(sheets(*parts), policy=load_policy(policy), today_year=TODAY)


def verdict(part: dict, policy: str = "ordinary-service") -> pd.Series:
    return judged(part, policy=policy).verdicts.iloc[0]


SOUND = {
    "capacitance_rated": 32,
    "voltage_rated": 450.0,
    "made": 1959,
    "idle_years": 0.5,
    "capacitance": 35,
    "esr": {"value": 3.0, "frequency_hz": 120.0},
    "leakage_current": {"value": 200, "voltage_v": 450.0, "soak_s": 300.0},
}
"""A sound part, all of it read."""
