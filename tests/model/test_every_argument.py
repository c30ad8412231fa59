"""Each argument of each function, one at a time, outside its validity: NaN, never a number."""

import numpy as np
import pytest

from captriage.model import (
    charging,
    energy,
    equivalents,
    fixture,
    impedance,
    oxide,
    spectrum,
    temperature,
    withstand,
)

GOOD = [
    # function, arguments for which it gives a number
    (charging.constant_current_factor, {"leak_fraction": 0.1}),
    (charging.time_constant_factor, {"resistance_ratio": 0.1}),
    (charging.discharge_factor, {"resistance_ratio": 0.1}),
    (charging.time_constant, {"resistance": 1e5, "capacitance": 4e-5}),
    (charging.charging_time, {"resistance": 1e5, "capacitance": 4e-5, "fraction": 0.9}),
    (
        charging.charging_current,
        {"voltage": 450, "resistance": 1e5, "capacitance": 4e-5, "time_s": 1.0},
    ),
    (charging.short_circuit_current, {"voltage": 450, "resistance": 1e5}),
    (charging.limiting_resistance, {"voltage": 450, "current": 5e-3}),
    (charging.peak_resistor_power, {"voltage": 450, "resistance": 1e5}),
    (
        charging.resistor_current,
        {"supply_voltage": 450, "part_voltage": 440, "resistance": 1e5},
    ),
    (energy.stored_energy, {"capacitance": 4e-5, "voltage": 450}),
    (energy.capacitance_at_energy, {"energy": 10, "voltage": 450}),
    (
        energy.discharge_time,
        {"resistance": 1e4, "capacitance": 4e-5, "from_v": 450, "to_v": 50},
    ),
    (
        energy.discharge_resistance,
        {"capacitance": 4e-5, "from_v": 450, "to_v": 50, "time_s": 1.0},
    ),
    (energy.discharge_peak_power, {"voltage": 450, "resistance": 1e4}),
    (equivalents.series_from_parallel, {"capacitance": 4e-5, "tan_delta": 0.2}),
    (equivalents.parallel_from_series, {"capacitance": 4e-5, "tan_delta": 0.2}),
    (equivalents.series_resistance_from_parallel, {"resistance": 10, "tan_delta": 0.2}),
    (equivalents.parallel_resistance_from_series, {"resistance": 10, "tan_delta": 0.2}),
    (
        fixture.tan_delta_added_by_leads,
        {"lead_resistance": 0.1, "capacitance": 4e-5, "frequency_hz": 120},
    ),
    (
        impedance.esr_from_tan_delta,
        {"tan_delta": 0.2, "capacitance": 4e-5, "frequency_hz": 120},
    ),
    (impedance.tan_delta_from_esr, {"esr": 2, "capacitance": 4e-5, "frequency_hz": 120}),
    (impedance.tan_delta_from_q, {"q": 5}),
    (impedance.q_from_tan_delta, {"tan_delta": 0.2}),
    (impedance.tan_delta_from_power_factor, {"power_factor": 0.2}),
    (impedance.power_factor_from_tan_delta, {"tan_delta": 0.2}),
    (impedance.reactance, {"capacitance": 4e-5, "frequency_hz": 120}),
    (
        impedance.impedance_modulus,
        {"capacitance": 4e-5, "esr": 2, "frequency_hz": 120, "inductance": 1e-8},
    ),
    (impedance.resonance_frequency, {"capacitance": 4e-5, "inductance": 1e-8}),
    (oxide.forming_voltage, {"voltage_rated": 450}),
    (oxide.oxide_thickness, {"forming_v": 540, "per_volt": 1.2e-9}),
    (oxide.areal_capacitance, {"forming_v": 540, "per_volt": 1.2e-9, "permittivity": 9}),
    (
        oxide.charge_to_thicken,
        {
            "capacitance": 4e-5,
            "forming_v": 540,
            "by_v": 1,
            "per_volt": 1.2e-9,
            "permittivity": 9,
        },
    ),
    (
        oxide.forming_rate,
        {"current": 1e-3, "capacitance": 4e-5, "forming_v": 540, "efficiency": 0.5},
    ),
    (
        oxide.high_field_exponent,
        {"per_volt": 1.2e-9, "activation_distance": 4e-10, "temperature_k": 300},
    ),
    (
        oxide.ionic_current_ratio,
        {
            "voltage_ratio": 1.01,
            "per_volt": 1.2e-9,
            "activation_distance": 4e-10,
            "temperature_k": 300,
        },
    ),
    (
        spectrum.oxide_resistance,
        {"capacitance": 4e-5, "frequency_hz": 120, "tan_delta_oxide": 0.01},
    ),
    (
        spectrum.esr_at_frequency,
        {"esr": 2, "capacitance": 4e-5, "from_hz": 120, "to_hz": 1e3, "tan_delta_oxide": 0.01},
    ),
    (
        spectrum.separate_losses,
        {"esr_low": 2.2, "esr_high": 2, "capacitance": 4e-5, "low_hz": 120, "high_hz": 1e4},
    ),
    (spectrum.capacitance_frequency_factor, {"frequency_hz": 120}),
    (
        spectrum.capacitance_at_frequency,
        {"capacitance": 4e-5, "from_hz": 120, "to_hz": 1e3},
    ),
    (
        temperature.capacitance_at_temperature,
        {"capacitance": 4e-5, "from_degc": 5, "to_degc": 20},
    ),
    (temperature.esr_at_temperature, {"esr": 2, "from_degc": 5, "to_degc": 20}),
    (withstand.recovery_voltage, {"charge_voltage": 450}),
    (withstand.surge_voltage, {"voltage_rated": 450}),
]
CASES = [
    pytest.param(function, good, name, id=f"{function.__name__}, {name}")
    for function, good in GOOD
    for name in good
]


@pytest.mark.parametrize(("function", "good", "name"), CASES)
def test_one_argument_outside_its_validity_gives_nan(function, good, name):
    assert np.all(np.isfinite(function(**good)))
    for bad in (-1e3, np.nan, np.inf, -np.inf):
        assert np.all(np.isnan(function(**(good | {name: bad}))))


def test_every_public_function_of_numbers_is_held_to_it():
    modules = (charging, energy, equivalents, impedance, oxide, spectrum, temperature, withstand)
    public = {
        function
        for module in modules
        for name, function in vars(module).items()
        if callable(function)
        and getattr(function, "__module__", "") == module.__name__
        and hasattr(function, "__code__")
        and not name.startswith("_")
    }
    elsewhere = {  # classes, and complex impedances, are tested with their own modules
        energy.hazard,
        energy.energy_band,
        impedance.complex_impedance,
        impedance.series_equivalent,
    }
    assert public - elsewhere <= {function for function, _ in GOOD}
