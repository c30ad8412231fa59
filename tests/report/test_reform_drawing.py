"""The curve on the page: whatever was read, it stays within its frame."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest

from captriage.jobs.reform_read import read
from captriage.jobs.sheets import demo_sheets, judge
from captriage.report import FORMATS
from captriage.report.reform_drawing import BOTTOM, LEFT, RIGHT, TOP, drawing_of

RACK = demo_sheets()[:2]
DEMO = RACK[0].parent / "reforming"


@pytest.fixture(scope="module")
def a3():
    return read(DEMO / "A3.csv", today_year=2026)


def corners(step):
    return [tuple(map(float, each.split(","))) for each in step.corners.split()]


def test_each_step_is_a_line_within_the_frame_with_its_limit(a3):
    drawing = drawing_of(a3)
    assert [step.text.partition(",")[0] for step in drawing.steps] == [
        "1: 110 V", "2: 225 V", "3: 310 V",
    ]  # fmt: skip
    for step in drawing.steps:
        points = corners(step)
        assert len(points) > 20
        assert all(LEFT <= x <= RIGHT and TOP <= y <= BOTTOM for x, y in points)
        assert [x for x, _ in points] == sorted(x for x, _ in points)
        assert TOP <= step.limit <= BOTTOM
    assert points[-1][1] < drawing.steps[-1].limit  # still above its limit: higher up
    assert drawing.said.startswith("falling: continue; ")
    assert "it reaches the limit" in drawing.said


def test_a_warning_is_said_first(a3):
    warned = replace(a3, warnings=("the supply went to 500 V",))
    assert drawing_of(warned).said.startswith("WARNING: the supply went to 500 V. falling: ")


def test_a_curve_without_steps_has_no_lines(a3):
    bare = replace(a3, progress=replace(a3.progress, steps=()))
    assert drawing_of(bare).steps == ()


def test_a_single_reading_or_none_above_nought_can_be_drawn(a3):
    curve = replace(a3.curve, current_a=np.full(len(a3.curve.time_s), -1e-6))
    drawing = drawing_of(replace(a3, curve=curve))
    assert [step.corners for step in drawing.steps] == ["", "", ""]


def test_the_page_shows_the_curve_of_each_part_and_no_page_changes_without_one():
    page = io.StringIO()
    judgement = judge(RACK, curves=[DEMO], today_year=2026)
    FORMATS["html"](judgement, page)
    text = page.getvalue()
    assert text.count("<polyline") == 4 + 1 + 3 + 3 + 2  # steps of P1, its re-test, A3, A9, P4 a
    assert "<strong>Reforming</strong> (A9.tsv): rising: stop and replace" in text
    assert " style=" not in text.partition("<body>")[2]
    plain = io.StringIO()
    FORMATS["html"](judge(RACK, today_year=2026), plain)
    assert "polyline" not in plain.getvalue().partition("</style>")[2]
