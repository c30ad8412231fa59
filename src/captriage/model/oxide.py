"""The oxide: its thickness, what re-growing it costs, and its current near the forming voltage.

The figures describe capacitor foil in general; a maker's own data come first.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

FARADAY: Final = 96485.33212  # C/mol, exact SI value
GAS_CONSTANT: Final = 8.314462618  # J/(mol K), exact SI value
VACUUM_PERMITTIVITY: Final = 8.8541878128e-12  # F/m, CODATA 2018

THICKNESS_PER_VOLT: Final = 1.2e-9
"""Oxide grown for each volt of forming, in m/V (Parler); 1.4e-9 is also widely quoted."""

PERMITTIVITY: Final = 9.0
"""Relative permittivity of the oxide (Parler: about 9; a maker's general text: 9.5)."""

OXIDE_DENSITY: Final = 3100.0  # kg/m³, from memory
OXIDE_MOLAR_MASS: Final = 0.10196  # kg/mol of Al2O3
ELECTRONS_PER_OXIDE: Final = 6

FORMING_RATIO: Final = (1.2, 1.5)
"""Forming voltage over rated voltage (Parler: 20 % to 50 % above)."""

ION_CHARGE: Final = 3
ACTIVATION_DISTANCE: Final = 4e-10
"""Half-jump of the aluminium ion in m; 3.6 to 4.6 Å are reported."""

REFERENCE_KELVIN: Final = 298.15  # 25 °C


def forming_voltage(voltage_rated: ArrayLike) -> tuple[Floats, Floats]:
    """Band of the voltage at which the foil of a part was formed.

    Parameters
    ----------
    voltage_rated : array_like
        Positive. [V]

    Returns
    -------
    low, high : ndarray, same shape
        1.2 and 1.5 times the rated voltage; NaN where that is not positive. [V]

    References
    ----------
    .. [1] S. G. Parler, "Improved Spice Models of Aluminum Electrolytic Capacitors for Inverter
       Applications", https://docslib.org/doc/10331511/ (20 % to 50 % above rated).
    """
    rated = positive(voltage_rated)
    return FORMING_RATIO[0] * rated, FORMING_RATIO[1] * rated


def oxide_thickness(forming_v: ArrayLike, *, per_volt: ArrayLike = THICKNESS_PER_VOLT) -> Floats:
    r"""Thickness of the barrier oxide, :math:`d = a V_f`.

    Parameters
    ----------
    forming_v : array_like
        Forming voltage :math:`V_f`, positive. [V]
    per_volt : array_like
        Anodising ratio :math:`a`, positive. [m/V]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [m]

    References
    ----------
    .. [1] S. G. Parler, "Improved Spice Models of Aluminum Electrolytic Capacitors for Inverter
       Applications", https://docslib.org/doc/10331511/ (1.2 nm/V).
    """
    return positive(per_volt) * positive(forming_v)


def areal_capacitance(
    forming_v: ArrayLike,
    *,
    per_volt: ArrayLike = THICKNESS_PER_VOLT,
    permittivity: ArrayLike = PERMITTIVITY,
) -> Floats:
    r"""Capacitance for each square metre of true (etched) anode surface (textbook).

    .. math:: C/A = \varepsilon_0 \varepsilon_r / d

    Parameters
    ----------
    forming_v : array_like
        Forming voltage, positive. [V]
    per_volt : array_like
        Anodising ratio, positive. [m/V]
    permittivity : array_like
        Relative permittivity :math:`\varepsilon_r`, positive. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [F/m²]
    """
    thickness = oxide_thickness(forming_v, per_volt=per_volt)
    return VACUUM_PERMITTIVITY * positive(permittivity) / thickness


def charge_to_thicken(
    capacitance: ArrayLike,
    forming_v: ArrayLike,
    *,
    by_v: ArrayLike,
    per_volt: ArrayLike = THICKNESS_PER_VOLT,
    permittivity: ArrayLike = PERMITTIVITY,
) -> Floats:
    r"""Charge that raises the forming voltage of the whole foil of a part, all of it used.

    By Faraday's law on the true area :math:`A = C d / (\varepsilon_0 \varepsilon_r)`:

    .. math:: Q = \frac{6 F \rho}{M} \, \frac{a^2}{\varepsilon_0 \varepsilon_r}
              \, C \, V_f \, \Delta V

    Milliampere-hours therefore mend flaws of a small share of the area; they do not form a
    foil anew. The density :math:`\rho` = 3.1 g/cm³ is from memory.

    Parameters
    ----------
    capacitance : array_like
        :math:`C` of the part as it is formed, positive. [F]
    forming_v : array_like
        :math:`V_f`, positive. [V]
    by_v : array_like
        Rise of the forming voltage :math:`\Delta V`, zero or more and small against
        :math:`V_f`. [V]
    per_volt : array_like
        Anodising ratio :math:`a`, positive. [m/V]
    permittivity : array_like
        Relative permittivity, positive. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [C]

    References
    ----------
    .. [1] S. G. Parler, "Improved Spice Models of Aluminum Electrolytic Capacitors for Inverter
       Applications", https://docslib.org/doc/10331511/ (anodising ratio, permittivity).
    """
    charge_density = ELECTRONS_PER_OXIDE * FARADAY * OXIDE_DENSITY / OXIDE_MOLAR_MASS
    area = positive(capacitance) / areal_capacitance(
        forming_v, per_volt=per_volt, permittivity=permittivity
    )
    return charge_density * area * positive(per_volt) * not_negative(by_v)


def forming_rate(
    current: ArrayLike,
    capacitance: ArrayLike,
    *,
    forming_v: ArrayLike,
    efficiency: ArrayLike = 1.0,
) -> Floats:
    r"""How fast a current raises the forming voltage of the whole foil.

    .. math:: \frac{dV_f}{dt} = \frac{\eta \, I}{Q(1\,\mathrm{V})}

    with the charge for one volt from :func:`charge_to_thicken`.

    Parameters
    ----------
    current : array_like
        Zero or more. [A]
    capacitance : array_like
        Positive. [F]
    forming_v : array_like
        Present forming voltage, positive. [V]
    efficiency : array_like
        Share :math:`\eta` of the charge that grows oxide, from 0 to 1. [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [V/s]
    """
    per_volt_charge = charge_to_thicken(capacitance, forming_v, by_v=1.0)
    return within(efficiency, 0, 1) * not_negative(current) / per_volt_charge


def high_field_exponent(
    *,
    per_volt: ArrayLike = THICKNESS_PER_VOLT,
    activation_distance: ArrayLike = ACTIVATION_DISTANCE,
    temperature_k: ArrayLike = REFERENCE_KELVIN,
) -> Floats:
    r"""Exponent of the ionic current at the forming field, without unit.

    .. math:: i = A \, e^{B E}, \quad B = \frac{z a F}{R T}, \quad E = \frac{1}{a_{f}}

    where :math:`a` is the activation distance and :math:`a_f` the anodising ratio; the value
    returned is :math:`B E`, and the current grows e-fold for each :math:`1/(B E)` of voltage.

    Parameters
    ----------
    per_volt : array_like
        Anodising ratio :math:`a_f`, positive. [m/V]
    activation_distance : array_like
        :math:`a`, positive; 3.6 to 4.6 Å are reported for aluminium [1]_. [m]
    temperature_k : array_like
        Positive. [K]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is not positive. [1]

    References
    ----------
    .. [1] Corrosion 27 (7), p. 265, abstract (aluminium in phosphate and carbonate).
    .. [2] M. M. Lohrengel, review of thin anodic oxide layers, Materials Science and
       Engineering R, 1993, abstract (fields up to 1e7 V/cm).
    """
    slope = ION_CHARGE * positive(activation_distance) * FARADAY
    return slope / (GAS_CONSTANT * positive(temperature_k)) / positive(per_volt)


def ionic_current_ratio(
    voltage_ratio: ArrayLike,
    *,
    per_volt: ArrayLike = THICKNESS_PER_VOLT,
    activation_distance: ArrayLike = ACTIVATION_DISTANCE,
    temperature_k: ArrayLike = REFERENCE_KELVIN,
) -> Floats:
    r"""Growth of the oxide-forming current with voltage, the oxide not yet thickened.

    .. math:: \frac{i_2}{i_1} = e^{B E (V_2/V_1 - 1)}

    Parameters
    ----------
    voltage_ratio : array_like
        New over forming voltage, from 0.9 to 1.1: the law holds near the forming field (our
        bounds). [1]
    per_volt, activation_distance, temperature_k : array_like
        As in :func:`high_field_exponent`.

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [1]
    """
    exponent = high_field_exponent(
        per_volt=per_volt, activation_distance=activation_distance, temperature_k=temperature_k
    )
    return np.exp(exponent * (within(voltage_ratio, 0.9, 1.1) - 1))
