"""The picture of a curve: whole, the same each time, and of its own file type."""

from __future__ import annotations

import re
from dataclasses import replace
from math import inf

import numpy as np
import pytest

from captriage.errors import CapTriageError
from captriage.jobs.reform_read import read
from captriage.jobs.sheets import demo_sheets
from captriage.report.reform_picture import draw, of_step, write_picture

DEMO = demo_sheets()[0].parent / "reforming"


@pytest.fixture(scope="module")
def a3():
    return read(DEMO / "A3.csv", today_year=2026)


def test_the_same_curve_gives_the_same_bytes_without_date_or_font(a3, tmp_path):
    for name in ("one.svg", "two.svg"):
        write_picture(a3, tmp_path / name)
    one = (tmp_path / "one.svg").read_bytes()
    assert one == (tmp_path / "two.svg").read_bytes()
    assert b"<dc:date>" not in one
    assert b"font-family" not in one
    assert b"<text" not in one


def test_each_step_its_limit_and_the_forecast_are_drawn(a3, tmp_path):
    write_picture(a3, tmp_path / "a3.svg")
    drawn = (tmp_path / "a3.svg").read_text(encoding="utf-8")
    comments = re.findall(r"<!-- (.*?) -->", drawn)  # each text stands there as it is
    for number, volts in enumerate((110, 225, 310), start=1):
        assert any(each.startswith(f"step {number}: {volts} V") for each in comments)
    assert "reaches the limit, 90 %" in comments
    assert "limit at the voltage of a step" in comments


def test_a_forecast_without_an_end_says_so(a3, tmp_path):
    write_picture(
        replace(a3, progress=replace(a3.progress, forecast_s=inf, forecast_high_s=inf)),
        tmp_path / "never.svg",
    )
    assert "reaches the limit, 90 %; or never" in (tmp_path / "never.svg").read_text("utf-8")


def test_a_png_is_a_png_and_a_curve_without_steps_is_drawn_too(a3, tmp_path):
    write_picture(replace(a3, progress=replace(a3.progress, steps=())), tmp_path / "a.png")
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_a_log_without_any_current_is_drawn_as_such(a3, tmp_path):
    curve = replace(a3.curve, current_a=np.zeros(len(a3.curve.time_s)))
    steps = (replace(a3.progress.steps[-1], limit_a=np.nan),)
    write_picture(
        replace(a3, curve=curve, progress=replace(a3.progress, steps=steps)), tmp_path / "none.svg"
    )
    assert "no current above nought" in (tmp_path / "none.svg").read_text("utf-8")


def test_readings_below_nought_are_not_drawn_and_very_many_are_thinned(a3):
    n = 50_000
    curve = replace(
        a3.curve, time_s=np.arange(n) / 10, supply_v=np.full(n, 310.0), part_v=np.full(n, np.nan),
        current_a=np.where(np.arange(n) % 2, 1e-3, -1e-3),
    )  # fmt: skip
    step = replace(a3.progress.steps[-1], begins_s=0.0, ends_s=n / 10)
    times, currents = of_step(replace(a3, curve=curve), step)
    assert len(times) == 2000
    assert (currents > 0).all()
    assert times[0] >= 1.0


def test_a_picture_that_cannot_be_written_says_why(a3, tmp_path):
    with pytest.raises(CapTriageError, match="choose a folder that exists and may be written to"):
        write_picture(a3, tmp_path / "nowhere" / "a.svg")


@pytest.mark.parametrize(("readings", "size"), [(15, 8.0), (200, 3.0)])
def test_few_readings_by_hand_are_drawn_as_large_dots(a3, readings, size):
    from matplotlib.figure import Figure

    time_s = np.linspace(1.0, 3600.0, readings)
    curve = replace(a3.curve, time_s=time_s, current_a=1e-3 / time_s)
    step = replace(a3.progress.steps[-1], begins_s=0.0, ends_s=3600.0)
    axes = Figure().add_subplot()
    draw(replace(a3, curve=curve, progress=replace(a3.progress, steps=(step,))), axes)
    assert axes.lines[0].get_markersize() == size
