"""What ends a step of a reforming run, what stops it, and how long healing may take."""

from __future__ import annotations

import math
from typing import Final

from captriage.model.energy import stored_energy
from captriage.model.leakage import VOLTAGE_EXPONENT
from captriage.model.oxide import charge_to_thicken
from captriage.model.reforming import healing_charge, healing_time, slowing_current
from captriage.reform.part import PartToReform
from captriage.reform.procedure import Procedure

HEAT_OF_A_CAN_W: Final = 1.0
"""Power that stops the run of a can of 25 to 35 mm; common practice. [W]"""
CAN_DIAMETER_M: Final = 25e-3
CAN_ENERGY_J: Final = 4.0
"""Stored at rated voltage by a part that fills such a can: 40 µF at 450 V; ours. [J]"""
LEAST_HEAT_W: Final = 0.02
"""Warms the smallest cases (5 mm by 11 mm) by about 10 K; ours, at 10 W/m²K. [W]"""
HEAT_AT_END: Final = 0.5
"""Of the power that stops the run, what a step may end with; ours."""

DROP_AT_MOST: Final = 0.25
"""Of the supply voltage, what may be lost in the series resistor at the end of a step: a part that
sees less has shown nothing there; ours."""

FLAWED_SHARES: Final = (1e-3, 3e-2)
"""Share that has to be healed, from the best to the worst, of a foil that bears no more than the
voltage of a step: of the whole foil less is flawed for a lower voltage, in proportion. Ours, chosen
so that a part of 40 µF 450 V takes from half an hour to half a day, as the published procedures
do."""


def stop_power(part: PartToReform) -> float:
    """Power in the part that stops the run; see :data:`HEAT_OF_A_CAN_W`. [W]

    1 W for a can of 25 mm and more. A smaller part has less surface: by the square of its
    diameter, or where that is not told by the power 2/3 of the energy that it stores (ours).
    """
    if math.isnan(part.diameter_m):
        energy = float(stored_energy(part.capacitance_rated, part.voltage_rated))
        surface = float((energy / CAN_ENERGY_J) ** (2 / 3))
    else:
        surface = (part.diameter_m / CAN_DIAMETER_M) ** 2
    return HEAT_OF_A_CAN_W * min(max(surface, LEAST_HEAT_W), 1.0)


def current_at_heat(watts: float, supply_v: float, *, series_ohm: float) -> float:
    r"""Least current with which a power goes into the part; infinite where it never does. [A]

    A part that draws more gets hotter, up to :math:`V_s^2/4R`; the lower root of

    .. math:: P = I (V_s - I R)

    Parameters
    ----------
    watts : float
        Power :math:`P` in the part, positive. [W]
    supply_v, series_ohm : float
        Supply, and resistor before the part. [V], [Ω]
    """
    left = supply_v**2 - 4 * series_ohm * watts
    if left < 0:
        return math.inf
    return 2 * watts / (supply_v + math.sqrt(left))  # so written, it holds without a resistor too


def current_at_limit(limit_a: float, at_v: float, *, supply_v: float, series_ohm: float) -> float:
    r"""Current of a part at its limit, of which a series resistor takes part of the voltage. [A]

    The limit is that of the voltage the part then sees:

    .. math:: I = I_L \left(\frac{V_s - I R}{V_L}\right)^{1.943}

    Parameters
    ----------
    limit_a, at_v : float
        Limit :math:`I_L` at the voltage :math:`V_L` on the part. [A], [V]
    supply_v, series_ohm : float
        Supply, and resistor before the part. [V], [Ω]
    """
    low, high = 0.0, limit_a * (supply_v / at_v) ** VOLTAGE_EXPONENT
    if series_ohm:
        high = min(high, supply_v / series_ohm)
    for _ in range(60):  # halved so often, nothing is left between them
        middle = (low + high) / 2
        limit = limit_a * ((supply_v - middle * series_ohm) / at_v) ** VOLTAGE_EXPONENT
        low, high = (low, middle) if middle > limit else (middle, high)
    return low


def end_current(
    part: PartToReform, procedure: Procedure, supply_v: float, *, series_ohm: float
) -> float:
    """Current below which a step is done: that of :func:`current_at_limit`. [A]

    It is no more than the procedure's own current, heats the part with no more than
    :data:`HEAT_AT_END` of :func:`stop_power`, and loses no more than :data:`DROP_AT_MOST` in the
    resistor.
    """
    most = [
        current_at_limit(
            part.limit_a, part.voltage_rated, supply_v=supply_v, series_ohm=series_ohm
        ),
        HEAT_AT_END * stop_power(part) / supply_v,
    ]
    if series_ohm:
        most.append(DROP_AT_MOST * supply_v / series_ohm)
    if not math.isnan(procedure.current_a):
        most.append(procedure.current_a)
    return min(most)


def healing_band(
    part: PartToReform, volts: float, series_ohm: float, below_a: float, *, borne_v: float
) -> tuple[float, float]:
    """Band of the time until flaws are healed to the end of a step; our estimate. [s], [s]

    The film at the flaws bears the voltage of the step before, so that the resistor takes the
    rest; it grows by the law of :mod:`captriage.model.reforming` until the current has come down.
    How much of the foil is flawed nobody knows beforehand: :data:`FLAWED_SHARES`.
    """
    start = (volts - borne_v) / series_ohm
    if start <= below_a:
        return 0.0, 0.0
    whole = charge_to_thicken(part.capacitance_rated, volts, by_v=1.0)
    slowing = slowing_current(volts, series_ohm)
    band = [
        float(
            healing_time(
                below_a,
                current_start=start,
                charge=healing_charge(volts, volts, charge_per_volt=share * whole),
                slowing=slowing,
            )
        )
        for share in FLAWED_SHARES
    ]
    return band[0], band[1]
