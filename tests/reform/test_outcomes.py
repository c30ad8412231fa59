"""What becomes of a part: from its curve, and from the re-test, which alone proves it."""

from __future__ import annotations

from dataclasses import fields, replace
from math import nan

import numpy as np
import pytest

from captriage.columns import REFORM_OUTCOMES
from captriage.reform.curves import ADVICE_OF, REST, STATES, Curve, Progress, Rating, StepReading
from captriage.reform.outcomes import beside_run, outcome_of, proof_of

RATING = Rating(32e-6, 450.0, 385.0, 1.0e-3)
STEP = StepReading(
    **{field.name: nan for field in fields(StepReading)}
    | {
        "begins_s": 10.0,
        "charging_ends_s": 20.0,
        "ends_s": 500.0,
        "supply_v": 385.0,
        "part_v": 384.0,
        "limit_a": 0.7e-3,
    }
    | {"state": "settled below the limit"}
)


def progress(state="settled below the limit", advice=None, step=STEP):
    steps = () if step is None else (replace(step, state=state),)
    return Progress(
        state, advice or ADVICE_OF[state], 1.0, "as it is", 0.7e-3, nan, nan, nan, steps
    )


def retest(current_a, *, until_s=500.0, supply_v=385.0):
    time_s = np.arange(0.0, until_s, 10.0)
    n = len(time_s)
    current = np.broadcast_to(np.asarray(current_a, float), n)
    return Curve(time_s, np.full(n, supply_v), current, np.full(n, nan))


def proven(curve, progress):
    return proof_of(curve, progress, RATING, soak_s=300.0, proof_fraction=0.9)


@pytest.mark.parametrize(
    ("current_a", "outcome"), [(0.69e-3, "healed"), (0.71e-3, "rebounded"), (5e-3, "rebounded")]
)
def test_the_current_at_the_soak_time_after_the_rest_decides(current_a, outcome):
    proof = proven(retest(current_a), progress())
    assert proof.outcome == outcome
    assert proof.current_a == pytest.approx(current_a)
    assert 300.0 <= proof.soak_s <= 375.0


def test_a_current_above_the_limit_before_the_soak_time_says_nothing():
    time_s = np.arange(0.0, 500.0, 10.0)
    falling = np.where(time_s < 290.0, 5e-3, 0.2e-3)
    proof = proven(retest(falling), progress())
    assert proof.outcome == "healed"


@pytest.mark.parametrize(
    ("curve", "step", "why"),
    [
        (retest(1e-4, until_s=200.0), STEP, "ended before 300 s at the voltage were over"),
        (retest(1e-4), replace(STEP, supply_v=200.0), "went to 200 V only, and 385 V proves"),
        (retest(1e-4), None, "no current was read under voltage"),
        (retest(1e-4), replace(STEP, limit_a=nan), "no limit is known for this part"),
        (retest(1e-4), replace(STEP, charging_ends_s=nan), "the part still charged when the re-t"),
    ],
)
def test_a_re_test_that_is_too_short_or_too_low_proves_nothing(curve, step, why):
    proof = proven(curve, progress(step=step))
    assert proof.outcome == ""
    assert why in proof.because
    assert outcome_of(progress(step=step), proof) == "under way"


@pytest.mark.parametrize(("current_a", "outcome"), [(0.69e-3, ""), (0.71e-3, "rebounded")])
def test_what_the_resistor_kept_from_the_part_proves_it_bad_but_never_good(current_a, outcome):
    # the house policies: a reading below 0.9 of the working voltage proves nothing good
    low = replace(STEP, part_v=0.89 * 385.0)
    proof = proven(retest(current_a), progress(step=low))
    assert proof.outcome == outcome
    assert proof.part_v == pytest.approx(0.89 * 385.0)
    assert ("left 343 V on the part, and less than 90 % of 385 V" in proof.because) == (not outcome)


def test_a_part_that_charges_beyond_the_soak_time_is_read_once_it_is_charged():
    time_s = np.arange(0.0, 500.0, 10.0)
    charging = np.where(time_s < 400.0, 2e-3, 0.2e-3)
    slow = progress(step=replace(STEP, charging_ends_s=410.0))
    proof = proven(retest(charging), slow)
    assert proof.outcome == "healed"
    assert proof.soak_s >= 400.0


@pytest.mark.parametrize("part_v", [0.91 * 385.0, nan])
def test_a_part_that_saw_its_voltage_or_whose_resistor_is_not_told_is_judged(part_v):
    assert proven(retest(0.5e-3), progress(step=replace(STEP, part_v=part_v))).outcome == "healed"


@pytest.mark.parametrize(
    "current_a",
    [0.0, -1e-9, 1e-6 * np.random.default_rng(1).normal(size=50), np.zeros(50)],
)
def test_noughts_and_noise_prove_nothing_for_an_open_part_shows_them_too(current_a):
    proof = proven(retest(current_a), progress())
    assert proof.outcome == ""
    assert "no current was ever seen" in proof.because


def test_a_steady_current_and_one_that_falls_are_seen():
    time_s = np.arange(0.0, 500.0, 10.0)
    noise = np.random.default_rng(2).normal(1.0, 0.05, 50)
    for current_a in (1e-4, 4e-3 / (1 + time_s) * noise):
        assert proven(retest(current_a), progress()).outcome == "healed"


def test_what_settles_above_the_limit_has_not_healed_whatever_it_read_at_the_soak_time():
    above = progress("settled above the limit")
    assert proven(retest(1e-4), above).outcome == "rebounded"
    unsure = progress("settled above the limit", advice="continue")
    assert proven(retest(1e-4), unsure).outcome == ""


@pytest.mark.parametrize("until_s", [500.0, 100.0])
@pytest.mark.parametrize("state", ["rising", "broken down"])
def test_a_danger_does_not_wait_for_the_soak_time(state, until_s):
    proof = proven(retest(1e-4, until_s=until_s), progress(state))
    assert proof.outcome == state


@pytest.mark.parametrize("state", ["rising", "broken down"])
def test_a_part_that_fails_in_the_re_test_has_not_healed_whatever_it_read(state):
    proof = proven(retest(1e-4), progress(state))
    assert outcome_of(progress(state), proof) == state


@pytest.mark.parametrize("state", STATES)
def test_every_state_has_an_outcome_and_none_is_healed_without_a_re_test(state):
    outcome = outcome_of(progress(state), None)
    assert outcome in REFORM_OUTCOMES
    assert outcome not in ("healed", "not reformed")


def test_a_state_that_is_not_sure_enough_to_stop_is_under_way():
    assert outcome_of(progress("settled above the limit"), None) == "settled above limit"
    assert outcome_of(progress("settled above the limit", advice="continue"), None) == "under way"


def test_a_step_below_its_limit_is_under_way_until_the_last_one():
    assert outcome_of(progress(), None) == "under way"
    assert outcome_of(progress(advice=REST), None) == "settled below limit"


@pytest.mark.parametrize(
    ("before_a", "said"),
    [
        (2e-3, "in the run it was 2 mA as soon after that voltage was put on, 4 times as much"),
        (0.4e-3, "no more than now: nothing has healed since"),
    ],
)
def test_a_re_test_is_held_beside_the_run_at_the_same_soak_time(before_a, said):
    proof = proven(retest(0.5e-3), progress())
    assert said in beside_run(proof, retest(before_a), progress())


def test_a_run_that_never_was_at_that_voltage_so_long_tells_nothing():
    proof = proven(retest(0.5e-3), progress())
    assert beside_run(proof, retest(1e-3), progress(step=replace(STEP, supply_v=300.0))) == ""
    assert beside_run(proof, retest(1e-3, until_s=100.0), progress()) == ""
