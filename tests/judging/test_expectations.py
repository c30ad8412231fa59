from __future__ import annotations

import numpy as np
import pytest
from drawer import SOUND, TODAY, sheets

from captriage.judging.expectations import STATES, expected_bands
from captriage.judging.policy import load_policy
from published import assert_published

POLICY = load_policy("ordinary-service")


def bands(part=SOUND, **conditions):
    found = expected_bands(sheets(part).parts, policy=POLICY, today_year=TODAY, **conditions)
    return found.set_index(["quantity", "state"])


def test_the_card_of_a_1959_part_quotes_the_published_limits():
    card = bands()
    assert_published(card.loc[("capacitance", "new"), "low"], "28.8 µF")  # -10 %
    assert_published(card.loc[("capacitance", "new"), "high"], "48.0 µF")  # +50 %
    assert_published(card.loc[("capacitance", "end of life"), "high"], "22.4 µF")  # -30 %
    assert_published(card.loc[("tan_delta", "new"), "high"], "0.20")
    assert_published(card.loc[("esr", "new"), "high"], "8.3 Ω")  # 0.2 / (2π · 120 · 32e-6)
    assert_published(card.loc[("leakage_current", "new"), "high"], "1.58 mA")


def test_esr_and_tan_delta_at_1_khz_follow_the_two_loss_model():
    # 100 µF, tan δ_ox 0.015, electrolyte 0.5 Ω: 0.6989 Ω at 120 Hz, 0.5239 Ω at 1 kHz
    part = {"capacitance_rated": 100, "voltage_rated": 450.0, "made": 2020}
    slow, fast = (bands(part, frequency_hz=f).loc[("esr", "new"), "high"] for f in (120.0, 1000.0))
    assert slow - fast == pytest.approx(0.6989 - 0.5239, abs=1e-4)


def test_every_state_is_ordered_new_sound_spent():
    card = bands()
    for quantity in ("esr", "tan_delta", "leakage_current"):
        new, sound = (card.loc[(quantity, state), "high"] for state in STATES[:2])
        assert new <= sound <= card.loc[(quantity, "end of life"), "low"] * (1 + 1e-9)
    low = [card.loc[("capacitance", state), "low"] for state in STATES[:2]]
    assert low[0] >= low[1] >= card.loc[("capacitance", "end of life"), "high"]


def test_an_early_soak_allows_more_and_a_late_one_less():
    high = [bands(soak_s=s).loc[("leakage_current", "new"), "high"] for s in (60.0, 300.0, 1200.0)]
    assert_published(high[0] / high[1], "5.0")  # t^-1 from 60 s to 300 s
    assert_published(high[2] / high[1], "0.50")  # t^-0.5, the lesser fall
    assert high[0] > high[1] > high[2]


def test_warmth_raises_leakage_and_lowers_esr():
    cool, warm = bands(), bands(temperature_degc=85.0)
    leak = ("leakage_current", "new")
    assert_published(warm.loc[leak, "high"] / cool.loc[leak, "high"], "4.0")
    assert warm.loc[("esr", "new"), "high"] < cool.loc[("esr", "new"), "high"]


def test_above_1_khz_no_capacitance_is_promised():
    card = bands(frequency_hz=100e3)
    assert np.isnan(card.loc[("capacitance", "new"), ["low", "high"]].astype(float)).all()
    assert card.loc[("esr", "new"), "high"] > 0


def test_a_young_part_may_have_worn_less_than_an_old_one():
    young, old = (
        bands(SOUND | {"made": m}).loc[("esr", "sound at its age"), "high"] for m in (2024, 1959)
    )
    assert young < old


def test_told_service_counts_instead_of_age():
    # 2000 h at 85 °C is the whole life of the policy: what is left is the criterion itself
    part = SOUND | {"service_hours": 2000.0, "service_temperature_degc": 85.0}
    card = bands(part)
    assert card.loc[("capacitance", "sound at its age"), "low"] == pytest.approx(22.4e-6)


def test_every_band_has_a_source():
    assert (bands()["reference"] != "").all()
