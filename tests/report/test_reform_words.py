"""What a curve says in words: forecasts with and without an end, and the cautions."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest

from captriage.jobs.reform_read import read
from captriage.jobs.sheets import demo_sheets
from captriage.reform.curves import Rating
from captriage.report.reform_words import cautions, forecast, hours, hours_between, told

DEMO = demo_sheets()[0].parent / "reforming"


@pytest.fixture(scope="module")
def a3():
    return read(DEMO / "A3.csv", today_year=2026)


@pytest.mark.parametrize(
    ("seconds", "said"), [(40, "40 s"), (600, "10 min"), (12600, "3.5 h"), (inf, "never")]
)
def test_a_time_ahead_is_said_as_at_the_bench(seconds, said):
    assert hours(seconds) == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (6960, 7704, "1.93 h to 2.14 h"),
        (90, 600, "1.5 min to 10 min"),
        (30, 90, "30 s to 90 s"),
        (40, 12600, "40 s to 3.5 h"),
        (600, inf, "10 min to never"),
    ],
)
def test_an_interval_is_said_in_one_unit_where_that_is_legible(low, high, said):
    assert hours_between(low, high) == said


def test_a_state_that_is_too_early_to_say_is_never_said_to_be_sure(a3):
    early = replace(a3, progress=replace(a3.progress, state="too early to say", sure=0.9))
    assert dict(told(early))["state"] == "too early to say"
    assert dict(told(a3))["state"].endswith(" sure")


def test_a_forecast_has_its_interval_and_what_is_left(a3):
    progress = replace(
        a3.progress, forecast_s=9000.0, forecast_low_s=8400.0, forecast_high_s=10800.0,
        steps=(replace(a3.progress.steps[-1], ends_s=5400.0),),
    )  # fmt: skip
    assert forecast(progress) == (
        "reaches the limit 2.5 h after the log began (90 %: 2.33 h to 3 h), 60 min from its end"
    )
    assert forecast(replace(progress, forecast_high_s=inf)).endswith(
        "2.33 h, or never), 60 min from its end"
    )


def test_what_is_not_falling_has_no_forecast(a3):
    assert forecast(replace(a3.progress, forecast_s=nan)) == ""
    assert forecast(replace(a3.progress, state="rising")) == ""
    assert forecast(replace(a3.progress, steps=())) == ""


def test_the_words_come_in_the_order_of_what_is_asked_first(a3):
    labels = [label for label, _ in told(a3)]
    assert labels[:4] == ["state", "advice", "because", "limit"]
    assert labels[-1] == "outcome"


def test_cautions_name_energy_and_recovery_and_put_local_rules_first():
    said = cautions(Rating(40e-6, 450.0, 450.0, 1e-3))
    assert "Local rules and licensed practice come before" in said[0]
    # ½CV² of 40 µF at 450 V: 4.05 J; 10 to 15 % of 450 V comes back: 45 to 67.5 V
    assert "stores 4.05 J" in said[1]
    assert "recover 45 V to 67.5 V" in said[-1]
    # handbook 8.7, 10 kΩ and 40 µF: "450->60 0.806 s"; to 1 V 2.44 s
    assert "10 kΩ takes it below 60 V in 0.806 s, and below 1 V in 2.44 s" in said[1]


def test_a_part_above_its_limit_is_asked_for_its_circuit_before_it_goes(a3):
    settled = dict(told(replace(a3, outcome="settled above limit")))
    assert "no bleeder across it" in settled["outcome"]
    assert "no bleeder" not in dict(told(replace(a3, outcome="rising")))["outcome"]
