"""Readings of a log that cannot all be true; every curve is reckoned here from Ohm's law."""

from __future__ import annotations

import numpy as np
import pytest

from captriage.errors import ReadingsError
from captriage.readers.curve_contradictions import refuse_contradictions
from captriage.reform.curves import Curve

NAN = np.full(40, np.nan)
TIME = np.linspace(10.0, 7200.0, 40)
CURRENT = 0.2e-3 + 8e-3 / (1 + TIME / 300)
SUPPLY = np.full(40, 450.0)
OHM = 10e3
NOISY = 1 + 0.1 * np.random.default_rng(4).standard_normal(40)
PART = SUPPLY - OHM * CURRENT


def refuse(*, supply=SUPPLY, current=CURRENT, part=NAN, ohm=OHM):
    refuse_contradictions("C1.csv", Curve(TIME, supply, current, part, series_ohm=ohm))


@pytest.mark.parametrize(
    "told",
    [
        pytest.param({}, id="without the voltage on the part"),
        pytest.param({"part": PART}, id="all three"),
        pytest.param({"part": PART, "ohm": np.nan}, id="no resistor told"),
        pytest.param({"current": np.full(40, 0.045), "part": np.zeros(40)}, id="a short"),
        pytest.param({"current": CURRENT * 0, "part": SUPPLY}, id="an open part"),
        pytest.param({"part": PART, "ohm": 2.1 * OHM}, id="94 kΩ and then 44 kΩ, one named"),
        pytest.param({"part": SUPPLY * 1.01, "current": CURRENT / 10}, id="meters 1 % apart"),
        # 450 mA into a short are 202 W, all in the resistor (handbook 4.1)
        pytest.param(
            {"current": 0.45 * NOISY, "ohm": np.nan}, id="a short, a resistor of 1 kΩ not told"
        ),
        pytest.param({"current": 0.1 * NOISY, "ohm": OHM}, id="a short, 4.5 kΩ told as 10 kΩ"),
        pytest.param({"supply": NAN}, id="no voltage of the supply"),
    ],
)
def test_what_can_be_true_is_let_through(told):
    refuse(**told)


def test_a_part_that_discharges_into_a_supply_that_is_off_contradicts_nothing():
    off = np.arange(40) >= 20
    refuse(
        supply=np.where(off, 0.5, 450.0),
        current=np.where(off, 0.02, CURRENT),
        part=np.where(off, 200.0, PART),
    )


@pytest.mark.parametrize(
    ("told", "message"),
    [
        pytest.param(
            {"current": 1e3 * CURRENT}, r"more than 450 V drives through 10 kΩ.*unit", id="µA as mA"
        ),
        pytest.param(
            {"current": SUPPLY / 1e3, "supply": 1e3 * CURRENT}, "even into a short", id="columns"
        ),
        pytest.param({"ohm": 9e5}, r"through 900 kΩ, even into", id="a resistor far too large"),
        # 0.6 mA and 450 V are 0.27 W, a thousand times as much would be 270 W
        pytest.param(
            {"current": 1e3 * CURRENT, "ohm": np.nan},
            r"into the part, which none bears.*unit",
            id="mA as A, no resistor told",
        ),
        pytest.param(
            {"current": 1e3 * CURRENT, "ohm": np.nan, "supply": NAN, "part": PART},
            "into the part, which none bears",
            id="mA as A, of the part alone",
        ),
        pytest.param({"part": PART, "ohm": OHM / 10}, "correct the series resistor", id="1 kΩ"),
        pytest.param({"part": PART, "ohm": OHM * 10}, "correct the series resistor", id="100 kΩ"),
        pytest.param({"part": PART, "current": CURRENT / 1e3}, "the unit", id="mA as µA"),
        pytest.param({"supply": PART, "part": SUPPLY}, "if they are swapped", id="swapped"),
        pytest.param({"supply": -SUPPLY}, r"of the supply is below nought \(-450 V\)", id="supply"),
        pytest.param({"part": -PART}, "on the part is below nought.*which terminal", id="part"),
    ],
)
def test_what_cannot_be_true_is_refused(told, message):
    with pytest.raises(ReadingsError, match=f"^C1.csv: .*{message}"):
        refuse(**told)


def test_a_slip_or_two_refuse_no_log():
    current = CURRENT.copy()
    current[[5, 20]] = 5.0
    refuse(current=current)
