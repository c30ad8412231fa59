"""Checks against figures as a source prints them."""

from __future__ import annotations

import re

import numpy as np

PREFIXES = {"p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
UNITS = {"A", "F", "V", "Ω", "W", "J", "s", "H", "Hz", "C", "h", "a", "K", "min", "°C", "%", ""}
PRINTED = re.compile(r"\s*([-+]?\d+(?:\.(\d+))?)(?:e([-+]?\d+))?\s*(\S*)\s*")


def unit_factor(unit: str) -> float:
    """SI value of one printed unit: "µA" is 1e-6, "min" stays 1 (as printed), "%" is 0.01."""
    if unit in UNITS:
        return 0.01 if unit == "%" else 1.0
    assert unit[0] in PREFIXES, f"unknown printed unit {unit!r}"
    assert unit[1:] in UNITS, f"unknown printed unit {unit!r}"
    return PREFIXES[unit[0]]


def assert_published(computed: object, printed: str, *, within: float = 0.5) -> None:
    """Pass when ``computed`` (SI) rounds to what is ``printed``, such as "770 µA" or "0.15".

    The tolerance is ``within`` units of the last printed digit; where a source rounded its
    own working more may be needed, and the test that asks for it says why.
    """
    match = PRINTED.fullmatch(printed)
    assert match, f"cannot read the printed value {printed!r}"
    number, decimals, exponent, unit = match.groups()
    factor = 10.0 ** int(exponent or 0) * unit_factor(unit)
    expected = float(number) * factor
    tolerance = within * 10.0 ** -len(decimals or "") * factor
    value = np.asarray(computed, float)
    assert value.size == 1, f"one value expected, got shape {value.shape}"
    assert abs(value.item() - expected) <= tolerance * (1 + 1e-9), (
        f"computed {value.item():.8g}, published {printed} = {expected:.8g} ± {tolerance:.2g}"
    )
