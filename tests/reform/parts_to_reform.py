"""Parts of our own making, and what is at hand, for the tests of planning."""

from captriage.model.leakage_limits import leakage_limit_vintage
from captriage.reform.equipment import Equipment, Supply
from captriage.reform.part import PartToReform


def vintage(capacitance=40e-6, voltage=450.0, **more):
    """A part of 1959, 30 years without voltage, held to the vintage limit."""
    known = {
        "limit_a": float(leakage_limit_vintage(capacitance, min(voltage, 500.0))),
        "soak_s": 300.0,
        "reference": "vintage limit",
        "age_years": 67.0,
        "idle_years": 30.0,
    }
    return PartToReform(capacitance, voltage, **(known | more))


def supplied(**figures):
    """Equipment with a supply that has these figures."""
    return Equipment(supply=Supply(**figures))
