"""States of steps whose meter shows noughts; the currents are closed forms of the model."""

from __future__ import annotations

from math import isnan

import numpy as np
import pytest

from captriage.reform.progress import read_curve
from reform.known_curves import RATING, curve, healing, noisy, times


def state(currents):
    return read_curve(curve(times(), currents), RATING)


SLIPPED = [
    # which readings are nought; what is said of it
    pytest.param(np.arange(900) // 30 % 3 == 1, "33 % of the readings, in between", id="now, then"),
    pytest.param(np.arange(900) >= 400, "and so to the end", id="at the end"),
]


@pytest.mark.parametrize(("nought", "said"), SLIPPED)
def test_noughts_between_currents_are_neither_a_good_part_nor_an_open_one(nought, said):
    current = np.where(nought, 0.0, noisy(healing(times())))
    found = state(current)
    assert (found.state, found.advice) == ("too early to say", "continue")
    assert said in found.because
    assert isnan(found.steps[-1].leakage_a)
    assert found.law is None


def test_noise_about_nought_is_no_current_that_slips():
    found = state(np.random.default_rng(7).normal(0, 1e-5, 900))
    assert (found.state, found.advice) == ("too early to say", "continue")
    assert "was ever seen" in found.because


def test_a_current_out_of_noughts_is_seen_for_what_it_is():
    # The supply was switched on late, or a part that showed nothing broke down: both go by what
    # flows from then on.
    late = np.where(np.arange(900) < 400, 0.0, 15e-3)
    assert state(late).advice == "stop and replace"
    healed = np.where(np.arange(900) < 400, 0.0, noisy(healing(times(), charge=0.2)))
    assert state(healed).state == "settled below the limit"
