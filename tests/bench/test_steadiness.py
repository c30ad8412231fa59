"""Whether readings agree, and whether they drift."""

import random
from math import sqrt

import numpy as np
import pytest

from bench.scripted import NOISE, answer, noise
from captriage.bench.steadiness import DRIFT, Steadiness, Window, rise


def test_the_rise_of_a_line_is_that_of_least_squares():
    times = [0.0, 0.1, 0.25, 0.7, 1.5]
    numbers = [3.0, 3.1, 2.9, 3.4, 3.3]
    slope = np.polyfit(times, numbers, 1)[0]
    assert rise(times, numbers) == pytest.approx(1.5 * slope, rel=1e-12)
    assert rise([0.0, 1.0], [5.0, 7.0]) == pytest.approx(2.0)
    assert rise([2.0, 2.0], [5.0, 7.0]) == 0.0  # no time between them: no slope either


def test_noise_alone_seldom_makes_so_steep_a_line():
    """Readings spread evenly over d: its rise has the variance d² (n - 1) / (n (n + 1))."""
    chance, n = random.Random(7), 15
    rises = [rise(range(n), [chance.uniform(0, 1) for _ in range(n)]) for _ in range(2000)]
    expected = sqrt((n - 1) / (n * (n + 1)))
    assert np.std(rises) == pytest.approx(expected, rel=0.06)
    assert np.mean(np.abs(rises) > DRIFT) < 0.06


def line(drift, *, n=16, step_s=0.1):
    """Readings without noise that rise by so much of the noise from first to last."""
    return [answer(k * step_s, 30e-6 * (1 + drift * NOISE * k / (n - 1))) for k in range(n)]


@pytest.mark.parametrize(
    ("drift", "agree"), [(0.0, True), (0.45, True), (0.55, False), (0.9, False), (-0.55, False)]
)
def test_a_line_within_the_noise_is_a_drift_all_the_same(drift, agree):
    assert Steadiness(noise, frequency_hz=120.0).agree(line(drift)) is agree


def test_a_window_is_full_of_readings_and_of_time():
    window = Window(3, 1.0)
    full = []
    for at in (0.0, 0.1, 0.2, 0.3, 1.0, 1.1, 5.0, 9.0, 13.0):
        window.add(answer(at, 30e-6))
        full.append(window.full)
    assert full == [False] * 4 + [True] * 5
    assert [each.monotonic_s for each in window.answers] == [5.0, 9.0, 13.0]


def test_a_window_lets_go_what_it_does_not_need():
    window = Window(5, 1.5)
    for step in range(10000):
        window.add(answer(step * 0.1, 30e-6))
    assert 15 <= len(window.answers) <= 17
