"""What the commands that log share: how a time is given."""

from __future__ import annotations

from math import inf

import click
import pytest

from captriage.cli.at_the_bench import time_given


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("90", 90.0), ("90s", 90.0), ("2 min", 120.0), ("1.5h", 5400.0), ("0,5 s", 0.5), (None, None)],
)
def test_times_are_given_as_they_are_said(text, seconds):
    assert time_given(None, None, text) == seconds


NO_TIMES = ["", "soon", "-5s", "0", "5 days", "1e3", str(inf), "9" * 400, "300000h"]


@pytest.mark.parametrize("text", NO_TIMES)
def test_what_is_no_time_is_refused(text):
    with pytest.raises(click.BadParameter, match="write a time above nought"):
        time_given(None, None, text)
