"""A run on the screen: at a terminal the picture of its step, elsewhere its lines."""

import io
import re

import pytest

from captriage.report.live import Screen
from captriage.report.live_run import StepView

CURVE = [(1.5, 9e-4), (6.0, 5e-4), (20.0, 2e-4), (60.0, 9e-5)]
SAID = (
    "taken  D13  answer 2.7  step 2 at 96 V, 60.0 s: 90 µA  falling, below the limit in about 4 min"
)


class Terminal(io.StringIO):
    def isatty(self):
        return True


def shown(out, *curves):
    view = StepView(Screen(out, now=iter(range(100)).__next__))
    view.step(1e-4, 300.0)
    for curve in curves:
        view.reading(SAID, curve)
    return out.getvalue()


def test_at_a_terminal_the_current_is_drawn_against_what_ends_the_step():
    text = shown(Terminal(), CURVE)
    lines = text.splitlines()
    assert sum(line.count("*") + line.count("#") for line in lines[:-4]) == len(CURVE)
    assert any(re.search(r"\|.*-{20}", line) for line in lines), "the limit is a line across"
    assert max(map(len, lines)) <= 80
    assert "5 min" in text
    assert text.endswith("4 min\n")


def test_a_reading_on_the_limit_is_told_in_the_legend():
    on_it = shown(Terminal(), [*CURVE, (100.0, 1e-4)])
    assert "#" in on_it.partition("time at voltage")[0]
    assert "* read  - limit  # read, on the limit" in on_it
    above = shown(Terminal(), CURVE[:2])
    assert "on the limit" not in above


def test_the_next_picture_takes_the_place_of_the_one_before():
    text = shown(Terminal(), CURVE[:2], CURVE)
    up = re.search(r"\x1b\[(\d+)A\x1b\[J", text)
    assert up is not None
    first = text[: up.start()]
    assert int(up[1]) == first.count("\n"), "as many lines as were written"


@pytest.mark.parametrize("curve", [CURVE, []])
def test_elsewhere_a_reading_is_a_line(curve):
    assert shown(io.StringIO(), curve) == f"{SAID}\n"
