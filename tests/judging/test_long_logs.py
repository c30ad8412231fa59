"""A meter that logs gives hundreds of noisy currents where a person writes three."""

from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged

SOAK = np.linspace(1, 300, 300)
UNREAD = {name: each for name, each in SOUND.items() if name != "leakage_current"}


def logged(current_ua, *, seed):
    """A sound part whose leakage was logged for five minutes, 3 % noise."""
    noisy = current_ua * (1 + 0.03 * np.random.default_rng(seed).standard_normal(len(SOAK)))
    more = [
        ("leakage_current", {"value": each, "voltage_v": 430.0, "soak_s": soak})
        for soak, each in zip(SOAK, noisy, strict=True)
    ]
    row = judged(UNREAD | {"more": more}).verdicts.iloc[0]
    return row["verdict"], row["decided_by"], row["because"]


@pytest.mark.parametrize("seed", range(5))
def test_noise_hides_no_rise_and_makes_none(seed):
    falling = 400 + 20_000 / SOAK
    rising = falling + 1500 * np.clip(SOAK - 100, 0, None) / 200
    assert logged(falling, seed=seed)[:2] == ("keep", "readings_within_limits")
    assert logged(rising, seed=seed)[:2] == ("replace", "leakage_not_rising")


def test_the_end_of_the_log_is_what_is_quoted():
    # 400 µA + 20 mA·s/300 s = 467 µA; the first second showed 20.4 mA
    said = logged(400 + 20_000 / SOAK, seed=1)[2]
    quoted = float(said.split("Leakage ")[1].split(" µA")[0])
    assert quoted == pytest.approx(467, rel=0.1)
