"""The limit of leakage that a soak is held to is that of the verdict."""

import numpy as np
import pandas as pd
import pytest

from captriage.columns import PARTS
from captriage.judging.leakage_line import leakage_line
from captriage.judging.policy import load_policy
from published import assert_published


def row(**told):
    blank = {"str": "", "float64": np.nan, "int64": 0}
    values = {name: [told.get(name, blank[kind])] for name, kind in PARTS.items()}
    return pd.DataFrame(values).astype(PARTS)


def line(part, *, voltage_v=450.0, temperature_degc=np.nan):
    return leakage_line(
        part,
        voltage_v=voltage_v,
        temperature_degc=temperature_degc,
        policy=load_policy("ordinary-service"),
        today_year=2026,
    )


MODERN = row(capacitance_rated=2200e-6, voltage_rated=35.0, made=2005.0)
VINTAGE = row(capacitance_rated=40e-6, voltage_rated=450.0, made=1959.0)


def test_at_its_own_time_it_is_the_published_limit():
    # Nippon Chemi-Con FAQ, text under Fig. 1: 35 V 2200 µF, "770 µA" at 20 °C, 2 minutes
    found = line(MODERN, voltage_v=35.0)
    assert_published(found.limit, "770 µA")
    assert found.criterion_soak_s == 120.0
    assert "0.01 CV" in found.reference


def test_it_goes_down_with_the_voltage_and_up_with_the_temperature():
    whole = line(VINTAGE)
    assert line(VINTAGE, voltage_v=0.7 * 450).limit == pytest.approx(0.5 * whole.limit)
    assert line(VINTAGE, temperature_degc=85.0).limit == pytest.approx(4 * whole.limit)


@pytest.mark.parametrize("missing", ["capacitance_rated", "voltage_rated"])
def test_without_a_rating_there_is_none(missing):
    part = VINTAGE.assign(**{missing: np.nan})
    assert np.isnan(line(part).limit)


def test_above_the_rated_voltage_there_is_none():
    assert np.isnan(line(VINTAGE, voltage_v=451.0).limit)
