from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, judged
from hypothesis import given
from hypothesis import strategies as st

from captriage.judging.limit_words import limit_text
from captriage.judging.limits import LEAKAGE_LIMITS, TAN_DELTA_LIMITS
from captriage.judging.phrasing import format_percents, format_quantities, format_times
from captriage.judging.policy import load_policy
from captriage.judging.wording import finding_sentences
from captriage.units import format_quantity

POLICY = load_policy("ordinary-service")


@given(
    st.lists(st.one_of(st.floats(1e-13, 1e9), st.just(0.0), st.just(np.nan)), max_size=20),
    st.sampled_from(["F", "Ω", "V", "A", "J", "W", "Hz", "s", ""]),
)
def test_many_numbers_are_written_as_one_is(values, unit):
    many = format_quantities(np.array(values, float), unit)
    assert list(many) == [format_quantity(value, unit) for value in values]


@pytest.mark.parametrize("value", [1.645, -1.645, 2.675e-6, 0.1245, 1.5, 1000.5])
def test_a_half_goes_where_its_digits_send_it(value):
    assert format_quantities(np.array([value]), "F")[0] == format_quantity(value, "F")


def test_times_and_percents_read_as_people_say_them():
    assert list(format_times(np.array([20.0, 60.0, 300.0, 10800.0, np.nan]))) == [
        "20 s",
        "1 min",
        "5 min",
        "3 h",
        "–",
    ]
    assert list(format_percents(np.array([0.83, 0.0281, 1.5]))) == ["83 %", "2.8 %", "150 %"]


def test_every_finding_has_a_sentence_of_its_own():
    parts = [
        SOUND,
        SOUND | {"look": ["bulged", "residue"], "voltage_working": 500.0},
        SOUND | {"capacitance": {"value": 19, "frequency_hz": 100e3}, "in_circuit": "yes"},
        SOUND | {"more": [("capacitance", 12)]},
        SOUND | {"service_hours": 90000.0, "service_temperature_degc": 70.0},
    ]
    sentences = finding_sentences(judged(*parts))
    assert sentences
    assert all(each.endswith(".") and "{" not in each for each in sentences)
    text = "\n".join(sentences)
    for words in (
        "35 µF is within 28.8 µF to 48 µF",
        "taken at 100 kHz",
        "Capacitance 35 µF, Capacitance 12 µF",
        "puts 500 V on a part rated 450 V",
        "% of its expected life",
    ):
        assert words in text, words


def test_the_reason_names_the_value_and_the_limit_it_was_held_against():
    bad = SOUND | {"leakage_current": {"value": 5000, "voltage_v": 450.0, "soak_s": 300.0}}
    found = judged(bad).verdicts.iloc[0]
    assert "Leakage 5 mA after 5 min at 450 V is above 1.58 mA" in found["because"]
    assert "K·C" in found["limit"]


def test_a_value_outside_its_band_is_not_said_to_be_inside():
    because = judged(SOUND | {"capacitance": 60}).verdicts["because"].iat[0]
    assert "60 µF, above 28.8 µF to 48 µF" in because


@pytest.mark.parametrize("key", [*LEAKAGE_LIMITS, *TAN_DELTA_LIMITS])
def test_a_limit_in_words_names_its_source_and_standing(key):
    row = {**LEAKAGE_LIMITS, **TAN_DELTA_LIMITS}[key]
    text = limit_text(key, POLICY)
    assert row.reference in text
    assert row.standing in text
    assert limit_text("", POLICY) == ""


def test_a_part_beyond_the_meter_is_proven_not_to_be_a_short_before_it_sees_voltage():
    over = {"flag": "over range: status +1, overload", "frequency_hz": 120.0}
    part = {"capacitance_rated": 16, "voltage_rated": 350.0, "capacitance": over, "esr": over}
    row = judged(part).verdicts.iloc[0]
    assert row["verdict"] == "not judged"
    assert row["next"].startswith("Read its DC resistance with an ohmmeter first")
