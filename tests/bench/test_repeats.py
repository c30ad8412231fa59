"""An ammeter that repeats itself: stuck, or honest, for a coarse one settles with its current."""

import random
from itertools import product
from math import exp, inf, nan

import pytest

from captriage.bench.moments import CHARGED_TIMES
from captriage.bench.repeats import AS_MANY, CHARGING_OVER, Repeats
from captriage.bench.stops_of_bench import DIFFERED

CHARGING_S = 10.0


def most_differed(current, *, every_s=1.0, until_s=900.0, from_s=0.0, charging_s=CHARGING_S):
    """The most different readings that were found before repeats, in a hold of a current."""
    repeats, most = Repeats(), 0
    for number in range(1, int(until_s / every_s)):
        held_s = from_s + number * every_s
        repeats.take(current(held_s), set_v=100.0, held_s=held_s, charging_s=charging_s)
        most = max(most, repeats.differed)
    return most


def on_a_meter(of, count, *, noise=0.0, seed=1):
    """A current as a meter shows it that counts in steps, with noise of so many of them."""
    chance = random.Random(seed)
    return lambda t: round(of(t) / count + chance.gauss(0.0, noise)) * count


def healing(floor, falls, power):
    return lambda t: floor + falls * t**-power


def charging(floor, *, larger=1.5):
    """What charges a part that is larger than rated, then nothing but a steady leakage."""
    tau = larger * CHARGING_S / CHARGED_TIMES / 4.6  # charging_s is that of the 1.5 fold part
    return lambda t: floor + 4.5e-3 * exp(-t / tau)


HONEST = [
    pytest.param(
        healing(floor, falls, power), begun_s, id=f"{floor} + {falls} t^-{power}, {begun_s}"
    )
    for floor, falls, power, begun_s in product(
        (0.0, 3e-6), (2e-4, 5e-3), (0.3, 0.7, 1.0, 1.5, 2.0), (0.1, CHARGING_S)
    )
] + [
    pytest.param(charging(3e-6, larger=more), CHARGING_S, id=f"charging {more}")
    for more in (0.8, 1.5)
]


@pytest.mark.parametrize("count", [1e-8, 1e-7, 1e-6, 1e-5])
@pytest.mark.parametrize(("current", "begun_s"), HONEST)
def test_a_current_that_settles_on_any_meter_is_never_taken_for_a_stuck_one(
    current, begun_s, count
):
    for every_s, noise in product((0.25, 1.0, 3.0), (0.0, 0.3)):
        shown = on_a_meter(current, count, noise=noise)
        assert most_differed(shown, every_s=every_s, charging_s=begun_s) < DIFFERED


@pytest.mark.parametrize("noise", [0.0, 5.0])
@pytest.mark.parametrize("at_s", [150.0, 400.0])
def test_a_meter_that_sticks_while_the_current_falls_or_makes_noise_is_found(noise, at_s):
    count = 2e-8
    true = on_a_meter(healing(2e-5, 5e-3, 1.0), count, noise=noise)
    held = []

    def shown(held_s):
        held.append(true(min(held_s, at_s)) if held_s <= at_s else held[-1])
        return held[-1]

    assert most_differed(shown) >= DIFFERED


def test_the_bound_is_that_of_a_current_that_falls_as_steeply_as_any():
    # f + a/t²: from t/2 to t it falls by 3 a/t², from t to 1.5 t by (1 - 1/2.25) a/t², by hand.
    assert (1 - 1 / 2.25) / 3 * DIFFERED > 1.0
    assert exp(-4.6 * CHARGING_OVER / 1.5) < 2.5e-7


def test_what_is_left_of_the_charging_may_end_all_at_once():
    repeats = Repeats()
    for number in range(4 * AS_MANY):
        held_s = 0.2 * number
        shown = max(40 - number, 3) * 1e-6
        repeats.take(shown, set_v=100.0, held_s=held_s, charging_s=CHARGING_S)
        assert repeats.differed == 0


def test_readings_alike_are_counted_with_how_far_the_voltage_moved_since_it_stood():
    repeats = Repeats()
    told = []
    for current, set_v, held_s in (
        (1e-4, 0.0, nan),  # before it is raised
        (2e-4, 10.0, nan),
        (2e-4, 20.0, nan),  # in the ramp it may be steady
        (2e-4, 30.0, 0.5),  # there, and charging still
        (2e-4, 30.0, 12.0),  # charged by now: the current of the ramp cannot have stayed
    ):
        repeats.take(current, set_v=set_v, held_s=held_s, charging_s=CHARGING_S)
        told.append((repeats.alike, repeats.moved_v))
    assert told == [(1, 0.0), (1, 0.0), (2, 0.0), (3, 0.0), (4, 20.0)]


def test_a_reading_of_before_the_voltage_was_moved_counts_as_it_moves():
    repeats = Repeats()
    repeats.take(2e-4, set_v=30.0, held_s=50.0, charging_s=CHARGING_S)
    repeats.take(2e-4, set_v=45.0, held_s=nan, charging_s=CHARGING_S)
    assert (repeats.alike, repeats.moved_v) == (2, 15.0)
    repeats.take(3e-4, set_v=50.0, held_s=nan, charging_s=CHARGING_S)  # it shows another one
    assert (repeats.alike, repeats.moved_v) == (1, 0.0)


def test_readings_without_a_number_are_never_alike():
    repeats = Repeats()
    for held_s in (60.0, 61.0, 62.0):
        repeats.take(nan, set_v=30.0, held_s=held_s, charging_s=CHARGING_S)
    assert (repeats.alike, repeats.differed) == (1, 0)


def test_the_readings_of_the_step_before_say_nothing_of_this_one():
    repeats = Repeats()
    for number in range(AS_MANY):
        repeats.take(number * 1e-6, set_v=30.0, held_s=100.0 + number, charging_s=CHARGING_S)
    repeats.step_begins()
    for number in range(2 * AS_MANY):
        repeats.take(5e-6, set_v=60.0, held_s=100.0 + number, charging_s=CHARGING_S)
    assert repeats.differed == 0
    assert repeats.alike < inf
