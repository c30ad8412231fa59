from __future__ import annotations

import pytest
from drawer import SOUND, judged

from captriage.judging.cautions import cautions


def test_the_cautions_come_with_figures_of_these_parts():
    # 40 µF at 450 V, by ½CV², RC ln(450/60), RC ln(450/1) and V²/R through 10 kΩ
    said = cautions(judged(SOUND | {"capacitance_rated": 40}))
    assert "local rules and qualified people come before" in said[0]
    times = "10 kΩ takes it below 60 V in 0.806 s, and below 1 V in 2.44 s (20.2 W at first"
    assert any("4.05 J at 450 V" in each and times in each for each in said)
    # a tenth of the watts at first, or the energy over 5 s: rated as the plan of a run has it
    assert any(
        "rated for 2.02 W and 450 V at least, able to take a pulse of 4.05 J" in s for s in said
    )
    assert any("recover 10 to 15 %" in each for each in said)


def test_the_highest_voltage_and_the_greatest_energy_are_both_named():
    low = SOUND | {"capacitance_rated": 47000, "voltage_rated": 63.0}
    text = "\n".join(cautions(judged(SOUND, low)))
    assert "C1 stores 3.24 J at 450 V" in text
    assert "C2 stores 93.3 J at 63 V" in text


def test_twins_are_cautioned_of_once():
    said = cautions(judged(SOUND, SOUND))
    assert sum("stores 3.24 J" in each for each in said) == 1


def test_ten_joules_at_a_hundred_volts_are_called_a_shock_hazard():
    text = "\n".join(cautions(judged(SOUND | {"capacitance_rated": 100})))  # 10.1 J at 450 V
    assert "a shock hazard each by itself: C1" in text
    assert "shock hazard" not in "\n".join(cautions(judged(SOUND)))


# Berkeley Lab: thermal below 100 V above 100 J; shock from 100 V and 10 J; arc from 100 V, 10 kJ
@pytest.mark.parametrize(
    ("microfarads", "volts", "said"),
    [
        (100e3, 63.0, "Below 100 V but above 100 J, a burn hazard: C1."),  # 198 J
        (100.0, 450.0, "At least 100 V and 10 J, a shock hazard each by itself: C1."),
        (200e3, 350.0, "At least 100 V and 10 kJ, an arc hazard besides: C1."),  # 12.25 kJ
    ],
)
def test_each_hazard_is_called_what_its_source_calls_it(microfarads, volts, said):
    text = cautions(judged(SOUND | {"capacitance_rated": microfarads, "voltage_rated": volts}))
    assert said in text
    assert sum("arc" in each for each in text) == ("arc" in said)
    assert sum("burn" in each for each in text) == ("burn" in said)
    assert sum("shock" in each for each in text) == (volts >= 100)


def test_parts_that_must_see_no_voltage_are_named():
    said = cautions(judged(SOUND, SOUND | {"look": "vented"}))
    assert any(each == "Put no voltage on: C2." for each in said)


def test_a_part_that_was_measured_above_its_rating_is_named():
    beyond = judged(SOUND | {"leakage_current": {"value": 0.3e-3, "voltage_v": 500.0}})
    said = " ".join(cautions(beyond))
    assert "Measured above the rated voltage, which can burst a part: " in said
    assert "Measured above" not in " ".join(cautions(judged(SOUND)))


def test_without_ratings_the_general_cautions_stay():
    assert len(cautions(judged({"capacitance": 3}))) == 2


def test_a_low_voltage_part_needs_no_discharge_figure():
    text = "\n".join(cautions(judged({"capacitance_rated": 10, "voltage_rated": 25.0})))
    assert "C1 stores 3.12 mJ at 25 V." in text  # ½ · 10 µF · 25² V² = 3.125 mJ
    assert "takes it" not in text


def test_much_energy_at_a_low_voltage_is_discharged_as_well():
    # ½ · 2200 µF · 25² V² = 0.6875 J, above 0.1 J; 1 kΩ · 2200 µF · ln 25 = 7.08 s
    text = "\n".join(cautions(judged({"capacitance_rated": 2200, "voltage_rated": 25.0})))
    assert "0.687 J at 25 V: 1 kΩ takes it below 1 V in 7.08 s" in text
