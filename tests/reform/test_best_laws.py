"""Least-squares laws of many steps at once."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.reform.best_laws import best_laws
from captriage.reform.fitted import fitted_law
from captriage.reform.law import weigh
from captriage.reform.progress import seen_of
from captriage.reform.step_data import steps_of
from reform.known_curves import OHM, RATING, curve, healing, noisy, times


def seen(*currents, ohm=OHM):
    return seen_of([steps_of(curve(times(), each, ohm=ohm), RATING)[0] for each in currents])


def test_laws_are_those_of_the_certified_search():
    many = [noisy(healing(times(), charge=charge), seed=k) for k, charge in enumerate((1, 3, 6))]
    together = seen(*many, ohm=np.nan)
    law = weigh(together)
    found = best_laws(together, law)
    for row in range(3):
        one = fitted_law(together, law, row)
        assert found.floor_a[row] == pytest.approx(one.floor_a, rel=1e-3)
        assert found.flaw_a[row] == pytest.approx(one.flaw_a, rel=1e-3)
        assert found.exponent[row] == pytest.approx(one.exponent, rel=1e-3)


def test_law_without_noise_is_the_one_it_was_made_with():
    together = seen(healing(times(), charge=3.0, floor=0.5e-3), ohm=np.nan)
    found = best_laws(together, weigh(together))
    # Averages of a bent curve lie a little beside it: a per cent.
    assert found.floor_a[0] == pytest.approx(0.5e-3, rel=0.05)
    assert found.flaw_a[0] == pytest.approx(8e-3, rel=0.02)
    assert found.exponent[0] == pytest.approx(1.0, abs=0.02)


def test_flat_current_has_neither_floor_nor_flaws_below_nought():
    together = seen(*(noisy(np.full(900, 2e-3), 0.02, seed) for seed in range(5)))
    found = best_laws(together, weigh(together))
    assert (found.floor_a >= 0).all()
    assert (found.flaw_a >= 0).all()
