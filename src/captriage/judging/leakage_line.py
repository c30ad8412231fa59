"""The leakage limit that one part is held to at its measuring voltage and temperature."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

import pandas as pd

from captriage.columns import LOOKS_COLUMNS, READINGS, SET_ASIDE, Sheets, empty
from captriage.judging.evidence import Evidence
from captriage.judging.limits import LEAKAGE_LIMITS, LIMIT_KEYS
from captriage.judging.policy import Policy
from captriage.judging.soak import BENCH, leakage_criteria
from captriage.model.leakage import leakage_temperature_factor, leakage_voltage_factor


@dataclass(frozen=True)
class LeakageLine:
    """Limit of a part that soaks, and where it comes from.

    Attributes
    ----------
    limit, criterion_soak_s : float
        The limit, and the time it is stated for; a later reading is held to it too, and for an
        earlier one there is none. NaN where the rating or the conditions give none. [A], [s]
    reference : str
        Criterion and source.
    """

    limit: float
    criterion_soak_s: float
    reference: str


def leakage_line(
    part: pd.DataFrame,
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
    limit = criteria.lenient[0] * conditions
    key = LIMIT_KEYS[int(criteria.lenient_key[0])]
    row = LEAKAGE_LIMITS.get(key)
    reference = "" if row is None else f"{row.title} [{row.reference}; {row.standing}]"
    return LeakageLine(float(limit), wanted, reference)
