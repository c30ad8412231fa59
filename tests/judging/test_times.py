"""Readings of one capture are one measurement; those of another day give way."""

import numpy as np
import pandas as pd
import pytest

from captriage.judging.evidence import Evidence
from captriage.judging.held import uncertainty_standard
from captriage.judging.policy import load_policy
from captriage.judging.wording import finding_sentences
from judging.drawer import TODAY, judged, sheets

START = pd.Timestamp("2026-03-01 10:00:00.25")
PART = {"capacitance_rated": 100, "voltage_rated": 25.0, "idle_years": 0.5, "tolerance_low": -0.2}
PART |= {"tolerance_high": 0.2}


def taken(values, *, quantity="capacitance", every_s=0.1, at=START, **more):
    """Readings of a bridge, one after the other."""
    return [
        (
            quantity,
            {
                "value": value,
                "taken_at": at + pd.Timedelta(seconds=every_s * number),
                "meter": "bridge",
                "source_file": "bench.book",
                "frequency_hz": 120.0,
                "uncertainty": 0.5,
            }
            | more,
        )
        for number, value in enumerate(values)
    ]


def evidence(*parts):
    return Evidence(sheets(*parts), load_policy("ordinary-service"), TODAY)


def counts(*readings):
    return evidence(PART | {"more": list(readings)}).captures.count.tolist()


VALUES = [78.9, 80.6, 81.1, 80.8, 80.6]  # mean 80.4, one below the limit of 80


def test_several_readings_of_one_capture_are_their_mean_by_hand():
    found = evidence(PART | {"more": taken(VALUES)})
    captures = found.captures
    assert captures.leads.tolist() == [True, False, False, False, False]
    np.testing.assert_allclose(captures.value, 80.4e-6, rtol=1e-12)
    # deviations -1.5, 0.2, 0.7, 0.4, 0.2: squares 2.98; √(2.98 / 20) = 0.386
    np.testing.assert_allclose(captures.scatter, 0.386e-6, rtol=1e-3)
    # of the meter 0.25, which errs alike in all five: √(0.25² + 0.386²) = 0.460
    np.testing.assert_allclose(
        uncertainty_standard(found, np.array([0]), 0.02), [0.460e-6], rtol=1e-3
    )


def test_the_uncertainty_of_a_meter_that_tells_none_is_that_of_the_mean_by_policy():
    found = evidence(PART | {"more": taken(VALUES, uncertainty=np.nan)})
    u = uncertainty_standard(found, np.array([0]), 0.02)
    np.testing.assert_allclose(u, [np.hypot(0.804e-6, 0.386e-6)], rtol=1e-3)


def test_the_mean_is_judged_and_not_the_worst_and_the_reason_says_so():
    judgement = judged(PART | {"more": taken(VALUES)})
    of_capacitance = judgement.findings["rule"] == "capacitance_not_low"
    (finding,) = np.flatnonzero(of_capacitance)
    assert judgement.findings["outcome"][finding] == "conditional pass"
    assert judgement.findings["value"][finding] == pytest.approx(80.4e-6)
    (said,) = finding_sentences(judgement, np.array([finding]))
    assert said == "Capacitance 80.4 µF (mean of 5) is within 80 µF to 120 µF."
    apart = judged(PART | {"more": taken(VALUES, every_s=60.0)})
    worst = apart.findings.loc[apart.findings["rule"] == "capacitance_not_low"]
    assert "conditional pass" not in set(worst.loc[worst["value"] < 79e-6, "outcome"])


def test_the_reason_of_a_verdict_names_the_mean():
    esr = taken([1.0, 1.2], quantity="esr", uncertainty=0.01)
    because = judged(PART | {"more": taken([99.0, 101.0, 100.0]) + esr}).verdicts["because"][0]
    assert "Capacitance 100 µF (mean of 3) in 80 µF to 120 µF" in because
    assert "ESR 1.1 Ω (mean of 2), limit" in because


@pytest.mark.parametrize("every_s", [0.05, 1.0, 9.0])
def test_seconds_apart_is_one_capture(every_s):
    assert counts(*taken(VALUES, every_s=every_s)) == [5] * 5


@pytest.mark.parametrize("every_s", [0.0, 10.5, 3600.0])
def test_readings_at_no_time_or_far_apart_each_stand_for_themselves(every_s):
    assert counts(*taken(VALUES, every_s=every_s)) == [1] * 5


def test_two_captures_of_one_part_are_two_means():
    later = START + pd.Timedelta(minutes=3)
    assert counts(*taken(VALUES), *taken(VALUES[:3], at=later)) == [5] * 5 + [3] * 3


def test_a_long_series_is_no_capture():
    assert counts(*taken(np.linspace(99, 101, 40), every_s=8.0)) == [1] * 40
    assert counts(*taken(np.linspace(99, 101, 30), every_s=8.0)) == [30] * 30


@pytest.mark.parametrize(
    "other",
    [
        {"meter": "another bridge"},
        {"frequency_hz": 1000.0},
        {"temperature_degc": 25.0},
        {"voltage_v": 1.0},
        {"source_file": "other.csv"},
        {"flag": "drifting: taken as it was"},
        {"value": np.nan, "at_least": 60.0},
    ],
)
def test_what_is_not_alike_is_not_taken_together(other):
    one, two, three = taken([80.0, 81.0, 82.0])
    assert counts(one, two, (three[0], three[1] | other)) == [2, 2, 1]


def test_a_reading_without_a_time_and_a_current_stand_alone():
    current = taken([100, 99], quantity="leakage_current", soak_s=60.0)
    untold = [("capacitance", {"value": 80.0, "meter": "bridge"})] * 2
    assert counts(*current, *untold) == [1] * 4


def test_parts_and_quantities_are_kept_apart_in_whatever_order_they_stand():
    one, two = taken([80.0, 82.0])
    esr = taken([1.0, 1.2, 1.4], quantity="esr")
    found = evidence(
        PART | {"more": [one, esr[0], two, *esr[1:]]}, PART | {"more": taken([90.0, 94.0])}
    )
    np.testing.assert_allclose(
        found.captures.value, [81e-6, 1.2, 81e-6, 1.2, 1.2, 92e-6, 92e-6], rtol=1e-12
    )
    assert found.captures.lead.tolist() == [0, 1, 0, 1, 1, 5, 5]


def test_a_capture_of_which_one_reading_is_contradicted_is_contradicted_whole():
    """100 µF with 1 Ω at 120 Hz has tan δ 0.075, and not 0.9."""
    esr = taken([1.0, 1.01, 1.02], quantity="esr")
    other = [("tan_delta", {"value": 0.9, "frequency_hz": 120.0})]
    found = judged(PART | {"capacitance": 100.0, "more": [*esr, *other]})
    assert found.case.disputed.tolist() == [False, True, True, True, True]
    assert (
        found.findings["outcome"][found.findings["rule"] == "loss_within_limit"]
        .eq("not judged")
        .all()
    )


def test_an_accuracy_that_is_common_practice_is_told_among_what_is_assumed():
    meter = "bridge, accuracy by common practice"
    said = "accuracy of the meter not its maker's: common practice for its kind"
    found = judged(
        PART | {"more": taken([100.0, 100.1], meter=meter)},
        PART | {"more": taken([100.0], meter=meter, uncertainty=np.nan)},  # the policy's own
        PART | {"more": taken([100.0])},
    ).verdicts["assumed"]
    assert [said in text for text in found] == [True, False, False]


def test_an_esr_just_below_nought_counts_by_its_mean():
    """One of the readings is beyond the uncertainty below nought, their mean is not."""
    esr = taken([-0.02, 0.01, 0.02], quantity="esr", uncertainty=0.015)
    assert "negative" not in set(judged(PART | {"more": esr}).findings["wording"])
    alone = taken([-0.02], quantity="esr", uncertainty=0.015)
    assert "negative" in set(judged(PART | {"more": alone}).findings["wording"])
