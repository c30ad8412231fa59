"""What is to be done next: nothing that puts an idle part to full voltage, or one of no rating.

Wordings are our own.
"""

from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged, verdict

UNRATED = {"made": 1958, "idle_years": 0.5}
UNREAD = {name: SOUND[name] for name in ("capacitance_rated", "voltage_rated", "made")}
FIND = "find it from the circuit, the service data or its neighbours"
SLOWLY = "aise the voltage slowly to 450 V through a resistor, watching the current; only then read"


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"idle_years": 25.0},
        {"made": np.nan},
        {"idle_years": 25.0, "capacitance": 35, "esr": {"value": 3.0, "frequency_hz": 120.0}},
        {"capacitance": 35},
    ],
    ids=["untold and old", "long idle", "age untold", "all but leakage", "no loss"],
)
def test_a_part_idle_for_long_or_perhaps_so_is_raised_slowly_before_leakage_is_read(changes):
    found = verdict(UNREAD | changes)
    assert "aise the voltage slowly" in found["next"]
    assert found["next"].index("aise the voltage") < found["next"].index("leakage at 450 V")


def test_raising_ends_at_the_voltage_that_leakage_is_read_at():
    assert f"; then r{SLOWLY} leakage at 450 V after 5 min" in verdict(UNREAD)["next"]
    worked = verdict(UNREAD | {"voltage_working": 315.0})["next"]
    assert "slowly to 315 V through a resistor" in worked


@pytest.mark.parametrize(
    "changes",
    [{"idle_years": 0.5}, {"made": 2020.0}, {"voltage_rated": 16.0}],
    ids=["in use", "young", "low voltage, untold"],
)
def test_a_part_that_was_not_idle_is_read_at_once(changes):
    assert "; then leakage at " in verdict(UNREAD | changes)["next"]


@pytest.mark.parametrize(
    "part",
    [
        UNRATED,
        UNRATED | {"esr": {"value": 3.0, "frequency_hz": 120.0}},
        UNRATED | {"leakage_current": {"value": 100, "voltage_v": 310.0, "soak_s": 300.0}},
        UNRATED | {"look": "unclear"},
    ],
    ids=["unread", "esr alone", "leakage", "look again"],
)
def test_a_part_of_unknown_rating_sees_no_voltage_before_it_is_found(part):
    found = verdict(part)
    assert found["next"].startswith(f"Rating not known: {FIND}; put no voltage on it before.")
    assert "leakage" not in found["next"]
    assert found["energise"] == "not before its rated voltage is known"


def test_where_only_the_rated_voltage_is_missing_it_is_that_which_is_asked_for():
    part = {"capacitance_rated": 8, "voltage_working": 310.0, "made": 1958, "capacitance": 8.5}
    found = verdict(part | {"esr": {"value": 3.0, "frequency_hz": 120.0}})
    assert found["verdict"] == "reform"
    assert found["next"].startswith(f"Rated voltage not known: {FIND}; put no voltage on it")
    assert found["energise"] == "not before its rated voltage is known"


@pytest.mark.parametrize(
    ("known", "missing"),
    [
        ({}, "rating"),
        ({"capacitance_rated": 8}, "rated voltage"),
        ({"voltage_rated": 450.0}, "rated capacitance"),
    ],
)
def test_for_a_part_whose_rating_is_burnt_off_it_is_said_where_the_rating_is_found(known, missing):
    found = verdict(UNRATED | known | {"look": "scorched"})
    assert found["verdict"] == "replace"
    assert "of its rating" not in found["next"]
    assert f"the right way round; its {missing} is not known, {FIND}." in found["next"]


def test_leakage_of_a_part_of_unknown_capacitance_is_read_at_its_voltage():
    found = verdict({"voltage_rated": 450.0, "made": 1958, "idle_years": 0.5})
    assert "leakage at 450 V after 5 min" in found["next"]


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (UNREAD, "full voltage only after this reading"),
        (SOUND | {"look": "unclear"}, "not before this is settled"),
        (SOUND | {"look": "polarity unclear"}, "never"),
        (SOUND | {"look": "bulged"}, "never"),
        (SOUND, "with care"),
    ],
)
def test_when_voltage_may_go_on_agrees_with_what_is_to_be_done_next(part, said):
    assert verdict(part)["energise"] == said


def test_a_part_of_which_nothing_was_read_is_told_from_one_whose_readings_were_of_no_use():
    unread = judged(UNREAD | {"idle_years": 0.5}).verdicts.iloc[0]
    assert unread["because"] == "Nothing was read of it yet."
    useless = verdict(UNREAD | {"resistance": 1e6, "idle_years": 0.5})
    assert useless["because"] != "Nothing was read of it yet."


def test_a_part_all_of_which_was_read_but_unsurely_is_read_again():
    near = {"value": 1570, "voltage_v": 450.0, "soak_s": 300.0}  # limit 1.58 mA
    found = verdict(SOUND | {"capacitance": 28.5, "leakage_current": near})
    assert found["decided_by"] == "too_little_read"
    assert found["next"].startswith("Read it again out of circuit, writing down date")
