"""The leakage limit of one part against soak time, at its measuring voltage and temperature."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import Final

import numpy as np
import pandas as pd

from captriage.columns import LOOKS_COLUMNS, READINGS, SET_ASIDE, Sheets, empty
from captriage.judging.evidence import Evidence, Floats
from captriage.judging.limits import LEAKAGE_LIMITS, LIMIT_KEYS
from captriage.judging.policy import Policy
from captriage.judging.soak import BENCH, leakage_criteria
from captriage.model.leakage import (
    leakage_at_time,
    leakage_temperature_factor,
    leakage_voltage_factor,
)

FALL: Final = 1.0
"""Steepest fall of leakage with time, i ~ t^-n, in the first hour; from memory. Before the time
of its criterion a part may read so much more and still keep the limit then."""


@dataclass(frozen=True)
class LeakageLine:
    """Limit of a part while it soaks, and where it comes from.

    Attributes
    ----------
    soak_s, limit_then : ndarray
        Most that a part may read at each of these times and still keep its limit. [s], [A]
    limit, criterion_soak_s : float
        The limit itself, and the time it is stated for; a later reading is held to it too.
        NaN where the rating or the conditions give none. [A], [s]
    reference : str
        Criterion and source.
    """

    soak_s: Floats
    limit_then: Floats
    limit: float
    criterion_soak_s: float
    reference: str


def leakage_line(
    part: pd.DataFrame,
    soak_s: Floats,
    *,
    voltage_v: float,
    temperature_degc: float,
    policy: Policy,
    today_year: int,
) -> LeakageLine:
    """Limit of leakage current of one part while it soaks.

    Parameters
    ----------
    part : DataFrame
        One row of :data:`captriage.columns.PARTS`.
    soak_s : ndarray
        Times since the voltage was applied. [s]
    voltage_v : float
        Measuring voltage, at most the rated one. [V]
    temperature_degc : float
        Of the part; 20 °C where NaN. [°C]
    policy : Policy
        Which criterion applies.
    today_year : int
        Year to which ages are counted.

    Returns
    -------
    LeakageLine
        By the more lenient criterion of the eras the part may come from: above it the part
        fails; what passes is for the verdict to say.
    """
    nothing = (empty(READINGS), empty(LOOKS_COLUMNS), empty(SET_ASIDE))
    evidence = Evidence(Sheets(part.reset_index(drop=True), *nothing), policy, today_year)
    criteria = leakage_criteria(evidence)
    wanted = float(criteria.soak_s[0])
    degc = BENCH if isnan(temperature_degc) else temperature_degc
    conditions = leakage_temperature_factor(degc) * leakage_voltage_factor(
        voltage_v / evidence.voltage_rated[0]
    )
    times = np.asarray(soak_s, float)
    limit = criteria.lenient[0] * conditions
    moved = leakage_at_time(limit, wanted, time=np.minimum(times, wanted), exponent=FALL)
    key = LIMIT_KEYS[int(criteria.lenient_key[0])]
    row = LEAKAGE_LIMITS.get(key)
    reference = "" if row is None else f"{row.title} [{row.reference}; {row.standing}]"
    return LeakageLine(times, moved, float(limit), wanted, reference)
