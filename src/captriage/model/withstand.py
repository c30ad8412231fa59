"""Voltages beside the rated one: what a part bears, and what comes back after a discharge.

The figures describe parts in general; a maker's own data come first.
"""

from __future__ import annotations

from typing import Final, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive

RECOVERY_FRACTION: Final = (0.10, 0.15)
"""Voltage that returns after a discharge, over the voltage it was charged to."""

REVERSE_VOLTAGE_LIMIT: Final = 1.0
"""Largest reverse voltage in V (Vishay BCcomponents, documents 28309 and 28327)."""

RATED_PRECISELY: Final = 0.02
"""How far above rated, as a share of it, a voltmeter may read before that counts as above;
common practice."""

CATHODE_FORMING_VOLTAGE: Final = 1.5
"""Reverse voltage in V at about which the cathode foil begins to form (as reported by Wikipedia,
"Aluminum electrolytic capacitor", and by a page that quotes a maker's data book)."""

SurgeEdition = Literal["general", "EPCOS B43505, 2008", "JIS C 5141 characteristic W"]

JIS_SURGE: Final = {
    # rated V: surge V
    10: 13,
    16: 20,
    25: 32,
    50: 63,
    63: 79,
    100: 125,
    160: 200,
    200: 250,
    250: 300,
    350: 400,
    400: 450,
    450: 500,
}


def recovery_voltage(charge_voltage: ArrayLike) -> tuple[Floats, Floats]:
    """Band of the voltage that returns on open terminals after a discharge.

    10 % to 15 % of the voltage the part was charged to [1]_. It peaks 10 to 20 days after the
    terminals are opened, more in larger cans; bleed through 100 Ω to 1 kΩ before use [2]_. A
    part once at 450 V can thus show more than 60 V.

    Parameters
    ----------
    charge_voltage : array_like
        Voltage before the discharge, zero or more. [V]

    Returns
    -------
    low, high : ndarray, same shape
        NaN where the voltage is negative. [V]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor",
       https://en.wikipedia.org/wiki/Aluminum_electrolytic_capacitor
    .. [2] Nippon Chemi-Con, FAQ, recovery voltage,
       https://www.chemi-con.co.jp/en/faq/detail.php?id=29BDH12
    """
    charged = not_negative(charge_voltage)
    return RECOVERY_FRACTION[0] * charged, RECOVERY_FRACTION[1] * charged


def surge_voltage(voltage_rated: ArrayLike, *, edition: SurgeEdition = "general") -> Floats:
    """Peak that a part bears for a short time; never a voltage to reform at.

    Parameters
    ----------
    voltage_rated : array_like
        Positive. [V]
    edition : {"general", "EPCOS B43505, 2008", "JIS C 5141 characteristic W"}
        "general": 1.15 times the rated voltage to 315 V, 1.10 times above [1]_.
        "EPCOS B43505, 2008": 1.15 to 250 V, 1.10 from 400 V, nothing between [2]_.
        "JIS C 5141 characteristic W": a table of twelve ratings from 10 V to 450 V, nothing
        between them [3]_.

    Returns
    -------
    ndarray, same shape
        NaN where the edition gives no figure. [V]

    Raises
    ------
    ValueError
        For an edition that is not one of these.

    References
    ----------
    .. [1] As reported by Wikipedia, "Aluminum electrolytic capacitor",
       https://en.wikipedia.org/wiki/Aluminum_electrolytic_capacitor
    .. [2] EPCOS B41505/B43505 data sheet, November 2008, https://dtsheet.com/doc/2535720/
    .. [3] Xiamen Wanming, RA series data sheet, https://m.eeworld.com.cn/datasheet_new_part/
       RA4101UM,xiamen_wanming_electronics_co_ltd,73523950.html
    """
    rated = positive(voltage_rated)
    if edition == "general":
        return np.where(rated <= 315, 1.15, 1.10) * rated
    if edition == "EPCOS B43505, 2008":
        return np.select([rated <= 250, rated >= 400], [1.15 * rated, 1.10 * rated], np.nan)
    if edition == "JIS C 5141 characteristic W":
        listed = np.array(list(JIS_SURGE), float)
        surges = np.array(list(JIS_SURGE.values()), float)
        place = np.searchsorted(listed, np.where(np.isnan(rated), 0, rated)) % listed.size
        return np.where(listed[place] == rated, surges[place], np.nan)
    raise ValueError(
        f"surge_voltage: edition {edition!r}; one of {', '.join(get_args(SurgeEdition))}"
    )
