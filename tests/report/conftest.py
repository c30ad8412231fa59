"""A judgement of our own making, small enough to check every report by eye."""

import numpy as np
import pandas as pd
import pytest

from captriage.columns import LOOKS_COLUMNS, PARTS, READINGS, SET_ASIDE, Sheets
from captriage.judging.policy import load_policy
from captriage.judging.verdicts import judge_parts

BLANK = {"str": "", "category": "", "int64": 0, "float64": np.nan, "datetime64[us]": pd.NaT}
HOSTILE = "<script>alert(\"1\")</script> & 'C'"


def frame(columns, rows):
    """Frame of these columns; what a row does not name is blank."""
    return pd.DataFrame(
        {name: [row.get(name, BLANK[kind]) for row in rows] for name, kind in columns.items()}
    ).astype(columns)


def part(name, c, v, **more):
    can = {"polarity": "polar", "source_file": "rack.csv", "line": 2}
    return {"part": name, "capacitance_rated": c, "voltage_rated": v, **can, **more}


def reading(row, quantity, value, **more):
    return {"part_row": row, "quantity": quantity, "value": value, "raw": str(value),
            "source_file": "rack.csv", "line": 2 + row, "column": 5, **more}  # fmt: skip


@pytest.fixture
def judgement():
    """Five parts, one of each verdict and a hostile name; two sections of one can apart."""
    parts = [
        part("C1", 32e-6, 450.0, made=1959.0),
        part("Can 1 a", 50e-6, 350.0, can="Can 1", section="a"),
        part(HOSTILE, 10e-6, 25.0),
        part("Can 1 b", 50e-6, 350.0, can="Can 1", section="b"),
        part("=C9", np.nan, np.nan),
    ]
    readings = [
        reading(0, "capacitance", 18e-6, frequency_hz=120.0, uncertainty=0.4e-6),
        reading(0, "leakage_current", 3.4e-3, soak_s=300.0, voltage_v=390.0),
        reading(1, "capacitance", 52e-6),
        reading(3, "capacitance", np.nan, at_least=200e-6, flag="over range"),
        reading(2, "leakage_current", 0.0),
    ]
    aside = {"file": "rack.csv", "line": 7, "column": 3, "heading": "ESR", "found": "<b>1,234</b>",
             "reason": "two readings are possible", "remedy": "write 1234 or 1.234"}  # fmt: skip
    sheets = Sheets(
        parts=frame(PARTS, parts),
        readings=frame(READINGS, readings),
        looks=frame(LOOKS_COLUMNS, [{"part_row": 2, "look": "bulged", "source_file": "rack.csv"}]),
        set_aside=frame(SET_ASIDE, [aside]),
    )
    return judge_parts(sheets, policy=load_policy("ordinary-service"), today_year=2026)
