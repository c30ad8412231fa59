"""A judgement of our own making, small enough to check every report by eye."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from captriage.columns import (
    FINDINGS,
    LOOKS_COLUMNS,
    PARTS,
    READINGS,
    SET_ASIDE,
    VERDICTS,
)
from captriage.judge.policy import load_policy

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


def verdict(name, word, **more):
    base = {"confidence": 0.9, "decided_by": "capacitance_within_tolerance", "source": "rack.csv:2",
            "because": "Capacitance 18 µF is below 28.8 µF.", "limit": "-10 %, as printed",
            "next": "Fit a new part.", "energise": "with care"}  # fmt: skip
    return {"part": name, "verdict": word, **base, **more}


def finding(row, reading_row, outcome, **more):
    return {"part_row": row, "reading_row": reading_row, "rule": "capacitance_within_tolerance",
            "outcome": outcome, "advice": "none", "limit": "printed", **more}  # fmt: skip


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
    verdicts = [
        verdict("C1", "replace", assumed="temperature 20 °C", energise="never"),
        verdict("Can 1 a", "keep", can="Can 1", section="a", limit="", next=""),
        verdict(HOSTILE, "reform", because=HOSTILE, limit=""),
        verdict("Can 1 b", "replace", can="Can 1", section="b", limit="another limit"),
        verdict("=C9", "not judged", confidence=np.nan, because="Nothing was read.", limit=""),
    ]
    findings = [
        finding(0, 0, "fail", value=18e-6, low=28.8e-6, high=48e-6, probability=0.01),
        finding(1, 2, "pass", value=52e-6, low=45e-6, high=75e-6, probability=0.99),
        finding(2, -1, "noted", limit=""),
    ]
    aside = {"file": "rack.csv", "line": 7, "column": 3, "heading": "ESR", "found": "<b>1,234</b>",
             "reason": "two readings are possible", "remedy": "write 1234 or 1.234"}  # fmt: skip
    return SimpleNamespace(
        parts=frame(PARTS, parts),
        readings=frame(READINGS, readings),
        looks=frame(LOOKS_COLUMNS, [{"part_row": 2, "look": "sound", "source_file": "rack.csv"}]),
        set_aside=frame(SET_ASIDE, [aside]),
        verdicts=frame(VERDICTS, verdicts),
        findings=frame(FINDINGS, findings),
        policy=load_policy("ordinary-service"),
        today_year=2026,
    )
