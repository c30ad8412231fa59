"""Five published reforming curves, a few points each; see tests/data/reforming."""

from __future__ import annotations

import csv
from math import nan
from pathlib import Path

import numpy as np
import pytest

from captriage.reform.curves import Curve, Rating
from captriage.reform.progress import read_curve
from published import assert_published

POINTS = Path(__file__).parents[1] / "data" / "reforming" / "published_points.csv"


def published(curve_id):
    """Time, voltage, current and rating of a published curve; see tests/data/reforming."""
    with POINTS.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["curve_id"] == curve_id]

    def column(name):
        return np.array([float(row[name] or "nan") for row in rows])

    minutes, volts, micro = column("minutes"), column("applied_V"), column("leakage_uA")
    farads, rated = column("rated_uF")[0] * 1e-6, column("rated_V")[0]
    limit = (0.04 if rated > 350 else 0.01) * farads * 1e3 + 0.3e-3  # JAN form, as reported
    found = Curve(minutes * 60, volts, micro * 1e-6, np.full(len(rows), nan))
    return found, Rating(farads, rated, volts[0], limit)


def test_published_rc01_is_below_its_limit_and_was_kept():
    # A restorer's public page (retronics.no, 2023): 20 µF 450 V, about 85 years old, at 350 V:
    # 4500, 1000, 120, 50 µA after 0.33, 15, 60, 180 min; kept.
    found = read_curve(*published("rc01"))
    assert (found.state, found.advice) == ("settled below the limit", "rest and re-test")
    low, high = found.steps[0].leakage_low_a, found.steps[0].leakage_high_a
    assert low < 50e-6 < high * 1.05
    assert_published(read_curve(*published("rc01")).steps[0].supply_v, "350 V")


def test_published_rc01_falls_at_first():
    whole, rating = published("rc01")
    columns = (whole.time_s, whole.supply_v, whole.current_a, whole.part_v)
    early = Curve(*(each[:3] for each in columns))
    assert read_curve(early, rating).state == "too early to say"


@pytest.mark.parametrize(
    ("curve_id", "said"),
    [
        ("rc02", "no reading"),  # times not stated
        ("rc03", "too few"),  # two readings, a day apart
        ("rc04", "too few"),  # just after a step, and a minute later
        ("rc05", "too few"),  # one reading
    ],
)
def test_published_curves_of_one_or_two_points_are_not_judged(curve_id, said):
    found = read_curve(*published(curve_id))
    assert found.state == "too early to say"
    assert said in found.because
