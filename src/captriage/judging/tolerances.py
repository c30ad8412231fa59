"""Tolerance of capacitance that was usual when and where a part was made.

For parts whose marking says nothing. Old electrolytics were made with wide plus tolerances, so
that a reading of twice the rated value can be honest on a 1950s part and is not on a modern one.
Where the year or voltage is unknown the widest candidate is returned, under a key that says so:
nothing is condemned on a guess.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from captriage.judging.standing import ENCYCLOPEDIA, MEMORY, NO_DOCUMENT, READ, REPORTED
from captriage.model.validity import Floats


@dataclass(frozen=True)
class ToleranceUsual:
    """One usual tolerance, ``low`` and ``high`` as fractions of rated (-0.10, 0.50).

    It was usual from ``year_first`` to ``year_last``, for rated voltages from ``voltage_low``
    to ``voltage_high`` [V], both included; ends that are not known are infinite.
    """

    key: str
    title: str
    low: float
    high: float
    reference: str
    standing: str
    region: str
    year_first: float = -math.inf
    year_last: float = math.inf
    voltage_low: float = 0.0
    voltage_high: float = math.inf


VINTAGE_LAST: Final = 1969
"""Last year in which the vintage ladder is taken as usual."""

TRANSITION_LAST: Final = 1985
"""Last year of the time between the vintage ladder and ± 20 %."""

LADDER: Final = f"EIA and makers' catalogues, {NO_DOCUMENT}"
CHARACTERISTIC_W: Final = "Xiamen Wanming RA series data sheet, characteristic W of JIS C 5141"
WIDEST: Final = "widest of the rows above for that voltage"

TOLERANCES_USUAL: Final = (
    ToleranceUsual(
        "vintage_us_to_50v",
        "US, before 1970, 3 V to 50 V: -10/+250 %",
        -0.10,
        2.50,
        LADDER,
        MEMORY,
        "US",
        year_last=VINTAGE_LAST,
        voltage_low=3.0,
        voltage_high=50.0,
    ),
    ToleranceUsual(
        "vintage_us_to_350v",
        "US, before 1970, 51 V to 350 V: -10/+100 %",
        -0.10,
        1.00,
        LADDER,
        MEMORY,
        "US",
        year_last=VINTAGE_LAST,
        voltage_low=51.0,
        voltage_high=350.0,
    ),
    ToleranceUsual(
        "vintage_us_above_350v",
        "US, before 1970, above 350 V: -10/+50 %",
        -0.10,
        0.50,
        LADDER,
        MEMORY,
        "US",
        year_last=VINTAGE_LAST,
        voltage_low=351.0,
    ),
    ToleranceUsual(
        "vintage_european_to_100v",
        "European, before 1970, to about 100 V: -10/+100 %",
        -0.10,
        1.00,
        LADDER,
        MEMORY,
        "Europe",
        year_last=VINTAGE_LAST,
        voltage_high=100.0,
    ),
    ToleranceUsual(
        "vintage_european_above_100v",
        "European, before 1970, above about 100 V: -10/+50 %",
        -0.10,
        0.50,
        LADDER,
        MEMORY,
        "Europe",
        year_last=VINTAGE_LAST,
        voltage_low=100.0,
    ),
    ToleranceUsual(
        "japanese_w",
        "Japanese, 1960s to 1980s, letter T: -10/+50 %",
        -0.10,
        0.50,
        CHARACTERISTIC_W,
        READ,
        "Japan",
        year_first=1960,
        year_last=TRANSITION_LAST,
    ),
    ToleranceUsual(
        "modern",
        "modern, letter M: ± 20 %",
        -0.20,
        0.20,
        ENCYCLOPEDIA,
        REPORTED,
        "anywhere",
        year_first=TRANSITION_LAST + 1,
    ),
    ToleranceUsual(
        "transition",
        "1970 to 1985: -10/+50 % or ± 20 %, so -20/+50 %",
        -0.20,
        0.50,
        f"{CHARACTERISTIC_W}; {ENCYCLOPEDIA}; {WIDEST}",
        MEMORY,
        "anywhere",
        year_first=VINTAGE_LAST + 1,
        year_last=TRANSITION_LAST,
    ),
    ToleranceUsual(
        "unknown_to_50v",
        "unknown era, to 50 V or voltage unknown: -20/+250 %",
        -0.20,
        2.50,
        WIDEST,
        MEMORY,
        "anywhere",
        voltage_high=50.0,
    ),
    ToleranceUsual(
        "unknown_to_350v",
        "unknown era, to 350 V: -20/+100 %",
        -0.20,
        1.00,
        WIDEST,
        MEMORY,
        "anywhere",
        voltage_low=51.0,
        voltage_high=350.0,
    ),
    ToleranceUsual(
        "unknown_above_350v",
        "unknown era, above 350 V: -20/+50 %",
        -0.20,
        0.50,
        WIDEST,
        MEMORY,
        "anywhere",
        voltage_low=351.0,
    ),
)

TOLERANCE_KEYS: Final = tuple(row.key for row in TOLERANCES_USUAL)


def usual_tolerance(
    made_year: ArrayLike, voltage: ArrayLike
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Usual tolerance of parts by year of making and rated voltage.

    Before 1970 the US ladder by voltage (at no voltage narrower than the European one), 1970 to
    1985 the wider of the Japanese -10/+50 % and ± 20 %, from 1986 ± 20 %. The region is not
    asked for. Without a year, or before 1970 without a voltage, the widest candidate.

    Parameters
    ----------
    made_year : array_like
        Year of making, NaN where unknown.
    voltage : array_like
        Rated voltage, NaN where unknown. [V]

    Returns
    -------
    low, high : ndarray
        Tolerance as fractions of rated capacitance; never NaN.
    index : ndarray of int64
        Place of the row in :data:`TOLERANCES_USUAL` and :data:`TOLERANCE_KEYS`.
    """
    year, u = np.broadcast_arrays(np.asarray(made_year, float), np.asarray(voltage, float))
    # Ratings fall in 51 V, 351 V as printed; what lies between two bands takes the lower one's.
    step = np.where(u > 0, (u >= 51.0).astype(int) + (u >= 351.0), 0)
    index = np.select(
        [(year <= VINTAGE_LAST) & (u >= 3.0), year > TRANSITION_LAST, year > VINTAGE_LAST],
        [_LADDER[step], np.full(step.shape, _MODERN), np.full(step.shape, _TRANSITION)],
        _WIDEST[step],
    )
    return _LOW[index], _HIGH[index], index


_LOW: Final = np.array([row.low for row in TOLERANCES_USUAL])
_HIGH: Final = np.array([row.high for row in TOLERANCES_USUAL])
_LADDER: Final = np.array([i for i, key in enumerate(TOLERANCE_KEYS) if "vintage_us" in key])
_WIDEST: Final = np.array([i for i, key in enumerate(TOLERANCE_KEYS) if "unknown" in key])
_MODERN: Final = TOLERANCE_KEYS.index("modern")
_TRANSITION: Final = TOLERANCE_KEYS.index("transition")
