"""Invented parts: loss and capacitance over frequency, leakage, flaws that mend, contacts."""

from __future__ import annotations

import math

import pytest

from captriage.bench.rehearsal.circuit import Drive
from captriage.bench.rehearsal.natures import KINDS, Nature
from captriage.bench.rehearsal.specimens import OPEN_CAPACITANCE, SHORTED_RESISTANCE, Specimen
from captriage.model.oxide import charge_to_thicken, ionic_current_ratio
from published import assert_published


def part(kind="fresh", **told) -> Specimen:
    """A 100 µF 450 V part with 0.5 Ω and an oxide loss of 0.015, but for what is told."""
    plain = {"capacitance_rated": 100e-6, "voltage_rated": 450.0, "capacitance": 100e-6}
    return Specimen(Nature("P", kind, **{**plain, "resistance": 0.5, **told}))


# ESR = R + tan δ_ox / (2π f C), with 0.5 Ω, 0.015 and 100 µF, worked by hand
ESR = [(100, "0.7387 Ω"), (120, "0.6989 Ω"), (1e3, "0.5239 Ω"), (100e3, "0.5002 Ω")]


@pytest.mark.parametrize(("frequency_hz", "printed"), ESR)
def test_series_resistance_falls_with_frequency(frequency_hz, printed):
    assert_published(part().impedance(frequency_hz).real, printed)


# Wikipedia, Aluminum electrolytic capacitor: 100 µF at 120 Hz is about 90 µF at 1 kHz
@pytest.mark.parametrize(("frequency_hz", "expected"), [(100, 100e-6), (120, 100e-6), (1e3, 90e-6)])
def test_capacitance_falls_with_frequency(frequency_hz, expected):
    assert part().truth(frequency_hz).capacitance == pytest.approx(expected)


def test_truth_agrees_with_itself():
    truth = part().truth(120)
    assert truth.tan_delta == pytest.approx(2 * math.pi * 120 * truth.capacitance * truth.esr)
    # and by hand: 0.015 of the oxide and 2π·120·100 µF·0.5 Ω of the electrolyte
    assert truth.tan_delta == pytest.approx(0.015 + 0.0376991, rel=1e-5)


def test_true_leakage_is_residual_and_absorption():
    specimen = part(leakage_residual=1e-3)
    expected = 1e-3 + specimen.absorption_current() * 300**-0.9
    assert specimen.truth(soak_s=300).leakage_current == pytest.approx(expected, rel=0.02)


# Wikipedia, Aluminum electrolytic capacitor: 0.7 of rated voltage halves the current;
# at 85 °C it is four times that at 20 °C
def test_leakage_goes_with_voltage_and_temperature_as_published():
    specimen = part(leakage_residual=1e-3)
    assert specimen.leakage(450.0) == pytest.approx(1e-3)
    assert specimen.leakage(0.7 * 450.0) == pytest.approx(0.5e-3)
    assert specimen.leakage(450.0, temperature_degc=85.0) == pytest.approx(4e-3)
    assert specimen.leakage(0.0) == 0.0
    assert specimen.leakage(-1.0) == 0.0


def test_above_rated_voltage_the_oxide_s_own_law_is_added():
    specimen = part(leakage_residual=1e-3)
    formed_at = 1.2 * 450.0
    over = 480.0
    by_oxide = float(ionic_current_ratio(1 + (over - 450.0) / formed_at))
    by_power = (over / 450.0) ** (math.log(0.5) / math.log(0.7))
    assert specimen.leakage(over) == pytest.approx(1e-3 * by_oxide * by_power, rel=1e-9)


def test_flaws_mend_with_the_charge_that_passes():
    """At steady voltage: dI/dt = -I²/Q, so that I = I0 / (1 + I0 t / Q)."""
    specimen = part(leakage_flaws=2e-3, flawed_area=1e-4, absorption_share=0.0)
    mending_c = 1e-4 * float(charge_to_thicken(100e-6, 540.0, by_v=540.0))
    specimen.advance(1.0, Drive(450.0, 0.1))
    at_s, flaws = specimen.time_s, specimen.flaws
    specimen.advance(at_s + 600.0, Drive(450.0, 0.1))
    assert specimen.flaws == pytest.approx(flaws / (1 + flaws * 600.0 / mending_c), rel=0.01)


def test_where_it_is_looked_at_does_not_change_a_leaky_part():
    whole, often = (part("leaky", leakage_residual=1e-3, leakage_flaws=3e-3) for _ in range(2))
    drive = Drive(450.0, 1e3, current_limit_a=0.05)
    whole.advance(300.0, drive)
    for step in range(1, 1001):
        often.advance(step * 0.3, drive)
    assert whole.voltage == pytest.approx(often.voltage, rel=1e-4)
    assert drive.current(whole.voltage) == pytest.approx(drive.current(often.voltage), rel=2e-3)
    assert whole.flaws == pytest.approx(often.flaws, rel=1e-2)


def test_part_without_charge_or_source_only_grows_older():
    specimen = part()
    specimen.advance(100.0)
    assert (specimen.time_s, specimen.voltage) == (100.0, 0.0)
    specimen.advance(50.0)  # the past is left alone
    assert specimen.time_s == 100.0


def test_shorted_part_is_a_resistor_that_holds_nothing():
    shorted = part("shorted", holds_v=12.0)
    shorted.advance(1.0, Drive(450.0, 1e3))
    assert shorted.voltage == 0.0
    truth = shorted.truth()
    assert truth.esr == SHORTED_RESISTANCE
    assert math.isnan(truth.capacitance)
    assert math.isnan(truth.tan_delta)
    assert math.isnan(truth.leakage_current)


def test_open_part_has_picofarads():
    truth = part("open").truth()
    assert truth.capacitance == pytest.approx(OPEN_CAPACITANCE)
    assert truth.leakage_current == pytest.approx(0.0, abs=1e-12)


def test_open_part_takes_up_voltage_at_once():
    specimen = part("open")
    specimen.advance(1e-3, Drive(450.0, 1e3))
    assert specimen.voltage == pytest.approx(450.0)


def test_only_the_intermittent_part_ever_loses_contact():
    broken = {
        kind: sum(not specimen.connected(0.05 * step) for step in range(4000)) / 4000
        for kind in KINDS
        for specimen in [part(kind, closed_s=1.5, broken_s=0.5)]
    }
    assert broken.pop("intermittent") == pytest.approx(0.25, abs=0.08)
    assert set(broken.values()) == {0.0}


def test_same_seed_same_breaks():
    nature = part("intermittent").nature
    first, again, other = (Specimen(nature, seed=seed) for seed in (7, 7, 8))
    when = [0.1 * step for step in range(500)]
    seen = [[specimen.connected(t) for t in when] for specimen in (first, again, other)]
    assert seen[0] == seen[1]
    assert seen[0] != seen[2]
