"""What an ammeter shows is the current of a part only once a current has been seen."""

from math import nan

import pytest

from bench.told import FLOOR, PART, Shows, Told, soaked
from captriage.bench.part_current import CAUSES, PartCurrent
from captriage.bench.soak_plan import Plan

PLAN = Plan(390.0, until_s=60.0, every_s=1.0)
PRESSED = 1.0  # s, when Enter is
NOTHING = "no current was ever seen through D1: this soak proves nothing"


def absorbing(at, *, since=PRESSED, first=1e-4, least=0.0):
    """Current of a sound part, falling with time, from the moment the voltage is on."""
    return first / max(at - since, 0.1) + least if at >= since else 0.0


def enter():
    return Told(s1_0="")


def test_a_dead_ammeter_proves_nothing_and_gives_no_leakage():
    told = enter()
    summary = soaked(told, PLAN, amps=lambda _: 0.0)
    assert set(told.quantities()) == {"current"}
    assert all("soak_s" not in conditions for _, _, conditions in told.kept)
    assert summary.ended.startswith(NOTHING)
    assert CAUSES in summary.ended
    (said,) = told.having("AMPS no current is seen through D1")
    assert said.replace("AMPS ", "note: ") in told.said
    assert told.said[told.said.index(said) - 1] == "bell"
    assert told.said.index(said) < told.said.index(told.having("answer 6 ")[0])
    assert not told.having("mark ")


@pytest.mark.parametrize("shown", [0.9 * FLOOR, -0.9 * FLOOR])
def test_what_lies_within_the_uncertainty_is_no_current(shown):
    told = enter()
    assert NOTHING in soaked(told, PLAN, amps=lambda _: shown).ended
    assert set(told.quantities()) == {"current"}


@pytest.mark.parametrize("shown", [1.1 * FLOOR, -1.1 * FLOOR, 1e-3, "over range"])
def test_what_lies_above_it_is_one(shown):
    told = enter()
    assert soaked(told, PLAN, amps=lambda _: shown).ended == ""
    assert set(told.quantities()) == {"leakage_current"}


def test_a_reading_below_the_range_of_the_meter_shows_no_current_either():
    told = enter()
    assert NOTHING in soaked(told, PLAN, amps=lambda _: "below range").ended
    assert set(told.quantities()) == {"current"}


def test_a_reading_without_a_number_tells_neither_of_a_current_nor_of_none():
    told = enter()
    soaked(told, PLAN, amps=lambda at: "no reading" if at < 5 else absorbing(at))
    assert set(told.quantities()) == {"leakage_current"}
    assert len(told.having("the soak clock runs")) == 1
    told = enter()
    assert NOTHING in soaked(told, PLAN, amps=lambda _: "no reading").ended


def test_a_part_that_leaks_next_to_nothing_is_believed_once_it_was_seen_to_charge():
    told = enter()
    summary = soaked(told, PLAN, amps=lambda at: absorbing(at, first=1e-6))
    assert summary.ended == ""
    assert set(told.quantities()) == {"leakage_current"}
    assert told.kept[-1][1] < FLOOR
    assert told.kept[-1][2]["soak_s"] >= 60.0


@pytest.mark.parametrize(("before_s", "believed"), [(4.5, True), (5.5, False)])
def test_a_charging_just_before_the_press_is_seen_and_an_older_current_is_not(before_s, believed):
    ended = 10.0 - before_s
    told = Told(s10_0="")
    # Half a microampere: no jump that is taken for the voltage.
    summary = soaked(told, PLAN, amps=lambda at: 5e-7 if at <= ended else 0.0)
    assert (summary.ended == "") == believed


def test_without_a_stated_uncertainty_one_step_of_its_figures_is_no_current():
    for shown, believed in ((0.0, False), (1e-3, True)):
        told = enter()
        summary = soaked(told, PLAN, amps=lambda _, shown=shown: shown, floor=nan)
        assert (summary.ended == "") == believed


def test_one_step_of_the_figures_of_a_reply():
    told = Told()
    current = PartCurrent(told.sitting, None, PART)
    shows = Shows(told, "ammeter", "current", lambda _: 1e-6)
    for raw, believed in (("1 uA", False), ("2 uA", True), ("1.00 uA", True)):
        current.begins(0.0)
        answer = shows.read()
        reply = type(answer)(shown(answer, raw), raw, answer.utc, answer.monotonic_s)
        assert current.take(reply, 1.0) == believed


def shown(answer, raw):
    value = answer.values[0]
    return (type(value)(value.quantity, float(raw.split()[0]) * 1e-6),)


def test_the_clock_starts_anew_when_the_current_comes_late():
    told = enter()
    summary = soaked(told, PLAN, amps=lambda at: absorbing(at, since=21.5))
    assert told.having("soak the current has come: the soak clock runs")
    first = told.quantities().index("leakage_current")
    assert set(told.quantities()[first:]) == {"leakage_current"}
    assert told.kept[first][2]["soak_s"] == 0.0
    assert summary.ended == ""
    assert 60.0 <= summary.soak_s < 62.0
    assert told.now > 80.0


def test_a_lead_that_falls_off_midway_gives_no_leakage_from_then_on():
    told = enter()
    summary = soaked(told, PLAN, amps=lambda at: absorbing(at, least=1e-5) if at < 31 else 0.0)
    late = [quantity for quantity, value, _ in told.kept if value == 0.0]
    assert len(late) >= 25
    assert set(late) == {"current"}
    assert summary.ended.startswith("the current through D1 was gone at the end")
    assert told.having("AMPS the current is gone all at once through D1")


def test_a_contact_that_fails_for_one_reading_does_not_start_the_clock_anew():
    told = enter()
    soaked(told, PLAN, amps=lambda at: 0.0 if 30.5 < at < 31.5 else absorbing(at, least=1e-5))
    assert len(told.having("the soak clock runs")) == 1
    assert told.quantities().count("current") == 1
    assert not told.having("AMPS")


def test_one_that_fails_for_longer_does():
    told = enter()
    soaked(told, PLAN, amps=lambda at: 0.0 if 30.5 < at < 35.5 else absorbing(at, least=1e-5))
    assert len(told.having("the soak clock runs")) == 2
    assert told.quantities().count("current") == 5
    assert told.having("AMPS the current is gone all at once through D1")


def test_a_current_that_falls_within_its_uncertainty_as_a_part_lets_it_is_the_parts():
    # From just above the uncertainty to just below it, and to nought between long readings.
    told = enter()
    soaked(told, PLAN, amps=lambda at: absorbing(at, first=3e-6))
    assert set(told.quantities()) == {"leakage_current"}
    told = enter()
    soaked(told, Plan(390.0, until_s=300.0, every_s=60.0), amps=lambda at: 1e-4 * (at < 70))
    assert set(told.quantities()) == {"leakage_current"}


def test_the_charging_of_the_first_seconds_may_end_between_two_readings():
    told = enter()
    soaked(told, PLAN, amps=lambda at: 1e-4 if at < 9.0 else 0.0)
    assert set(told.quantities()) == {"leakage_current"}
    assert not told.having("AMPS")


def test_the_limits_of_a_mark_hold_for_a_reading_soon_after_it_and_a_late_one_tells_its_time():
    for every_s, said in ((5.0, "mark after 1 min: "), (45.0, "mark after 1.5 min: ")):
        told = enter()
        soaked(told, Plan(390.0, until_s=90.0, every_s=every_s), amps=lambda _: 1e-4)
        assert told.having("mark ")[0].startswith(said)


def test_over_range_is_said_once_for_as_long_as_it_lasts_before_the_start_and_after():
    told = Told(s10_0="")
    shows = {2: "over range", 3: "over range", 5: "over range", 20: "over range"}
    soaked(told, PLAN, amps=lambda at: shows.get(int(at), 0.0 if at < 10 else 1e-4))
    said = told.having("AMPS ammeter is over range, more flows through D1 than it can show")
    assert "SWITCH OFF; then set a larger range" in said[0]
    begun = told.said.index(told.having("the soak clock runs")[0])
    places = [place for place, each in enumerate(told.said) if each in said]
    assert [place < begun for place in places] == [True, True, False]
    assert all(told.said[place - 1] == "bell" for place in places)


def test_an_end_by_the_person_says_as_well_that_nothing_was_seen():
    told = Told(s1_0="", s5_0="q")
    ended = soaked(told, PLAN, amps=lambda _: 0.0).ended
    assert ended.startswith(f"ended by the person; {NOTHING}")
    told = Told(s0_1="q")
    assert soaked(told, PLAN, amps=lambda _: 0.0).ended == "ended by the person"
