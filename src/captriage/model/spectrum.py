"""ESR and capacitance against frequency: translating a reading from one frequency to another."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from captriage.model.validity import Floats, not_negative, positive, within

TAN_DELTA_OXIDE: Final = 0.015
"""Loss tangent of the oxide alone, about 0.013 to 0.015 (from memory)."""

LOWEST_HZ: Final = 50.0
HIGHEST_HZ: Final = 200e3
"""Where one constant oxide loss is taken to hold: our bounds, about mains frequency up to the
frequency of the usual ESR meter."""

DC_FACTOR: Final = 1.10
KILOHERTZ_FACTOR: Final = 0.90


def oxide_resistance(
    capacitance: ArrayLike,
    *,
    frequency_hz: ArrayLike,
    tan_delta_oxide: ArrayLike = TAN_DELTA_OXIDE,
) -> Floats:
    r"""Part of the ESR that the oxide causes; it falls as frequency rises.

    .. math:: R_d(f) = \frac{\tan\delta_{ox}}{2\pi f C}

    Parameters
    ----------
    capacitance : array_like
        At 100 Hz or 120 Hz, positive. [F]
    frequency_hz : array_like
        From 50 Hz to 200 kHz (our bounds). [Hz]
    tan_delta_oxide : array_like
        Zero or more; the default 0.015 is from memory (0.013 to 0.015). [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [Ω]

    References
    ----------
    .. [1] A. Albertsen, "Electrolytic Capacitor Lifetime Estimation", Jianghai Europe, 2012,
       http://www.powerguru.org/electrolytic-capacitor-lifetime-estimation/ (ESR is the sum of
       an ohmic, a dielectric and an electrolyte part; text after equation 1).
    """
    f = within(frequency_hz, LOWEST_HZ, HIGHEST_HZ)
    return not_negative(tan_delta_oxide) / (2 * np.pi * f * positive(capacitance))


def esr_at_frequency(
    esr: ArrayLike,
    capacitance: ArrayLike,
    *,
    from_hz: ArrayLike,
    to_hz: ArrayLike,
    tan_delta_oxide: ArrayLike = TAN_DELTA_OXIDE,
) -> Floats:
    r"""ESR that a part read at one frequency shows at another.

    The ohmic and electrolyte resistance do not change with frequency, the oxide's part does:

    .. math:: R_s(f_2) = R_s(f_1) - \frac{\tan\delta_{ox}}{2\pi f_1 C}
              + \frac{\tan\delta_{ox}}{2\pi f_2 C}

    Parameters
    ----------
    esr : array_like
        At ``from_hz``, zero or more. [Ω]
    capacitance : array_like
        At 100 Hz or 120 Hz, positive. [F]
    from_hz, to_hz : array_like
        From 50 Hz to 200 kHz (our bounds). [Hz]
    tan_delta_oxide : array_like
        Zero or more; the default 0.015 is from memory (0.013 to 0.015). [1]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity, and where the ESR is less than the
        oxide alone would cause, because then the assumed oxide loss does not fit the part.
        [Ω]

    References
    ----------
    .. [1] A. Albertsen, "Electrolytic Capacitor Lifetime Estimation", Jianghai Europe, 2012,
       http://www.powerguru.org/electrolytic-capacitor-lifetime-estimation/
    """
    oxide_from, oxide_to = (
        oxide_resistance(capacitance, frequency_hz=f, tan_delta_oxide=tan_delta_oxide)
        for f in (from_hz, to_hz)
    )
    return not_negative(_remainder(not_negative(esr), oxide_from)) + oxide_to


def separate_losses(
    esr_low: ArrayLike,
    esr_high: ArrayLike,
    capacitance: ArrayLike,
    *,
    low_hz: ArrayLike,
    high_hz: ArrayLike,
) -> tuple[Floats, Floats]:
    r"""Oxide loss and frequency-independent resistance from ESR at two frequencies.

    .. math:: \tan\delta_{ox} = \frac{2\pi C (R_1 - R_2)}{1/f_1 - 1/f_2}, \qquad
              R = R_2 - \frac{\tan\delta_{ox}}{2\pi f_2 C}

    Errors of the readings grow by :math:`1/(1 - f_1/f_2)`: take the high one at 10 kHz or more.

    Parameters
    ----------
    esr_low, esr_high : array_like
        At ``low_hz`` and ``high_hz``, zero or more. [Ω]
    capacitance : array_like
        At 100 Hz or 120 Hz, positive. [F]
    low_hz, high_hz : array_like
        From 50 Hz to 200 kHz (our bounds), the first below the second. [Hz]

    Returns
    -------
    tan_delta_oxide, resistance : ndarray, broadcast shape
        Both NaN where an argument is outside its validity or where either result would be
        negative, which no such part can show. [1], [Ω]

    References
    ----------
    .. [1] A. Albertsen, "Electrolytic Capacitor Lifetime Estimation", Jianghai Europe, 2012,
       http://www.powerguru.org/electrolytic-capacitor-lifetime-estimation/
    """
    per_loss_low = oxide_resistance(capacitance, frequency_hz=low_hz, tan_delta_oxide=1.0)
    per_loss_high = oxide_resistance(capacitance, frequency_hz=high_hz, tan_delta_oxide=1.0)
    fall = _remainder(not_negative(esr_low), not_negative(esr_high))
    loss = not_negative(fall / positive(per_loss_low - per_loss_high))
    resistance = not_negative(_remainder(esr_high, loss * per_loss_high))
    return np.where(np.isnan(resistance), np.nan, loss), resistance


def _remainder(whole: ArrayLike, part: ArrayLike) -> Floats:
    """Difference, nought where it is only rounding: no meter reads to twelve digits."""
    difference = np.asarray(np.subtract(whole, part))
    nought = np.abs(difference) <= 1e-12 * np.abs(np.asarray(whole, float))
    return np.where(nought, 0.0, difference)


def capacitance_frequency_factor(frequency_hz: ArrayLike) -> Floats:
    r"""Capacitance at a frequency as a multiple of that at 100 Hz or 120 Hz.

    About 1.10 for a direct-current (charge) method and 0.90 at 1 kHz [1]_. Between, ours:
    1 from 50 Hz to 120 Hz, then a straight line over the logarithm of frequency:

    .. math:: F = 1 - 0.10 \, \frac{\ln (f / 120)}{\ln (1000 / 120)}

    Parameters
    ----------
    frequency_hz : array_like
        0 for a direct-current method, or from 50 Hz to 1 kHz. [Hz]

    Returns
    -------
    ndarray, same shape
        NaN elsewhere: above 1 kHz, where parts differ too much, and between 0 and 50 Hz. [1]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor",
       https://en.wikipedia.org/wiki/Aluminum_electrolytic_capacitor
    """
    f = np.asarray(frequency_hz, float)
    alternating = within(f, LOWEST_HZ, 1000.0)
    fall = np.log(np.maximum(alternating, 120.0) / 120.0) / np.log(1000.0 / 120.0)
    return np.where(f == 0, DC_FACTOR, 1.0 - (1.0 - KILOHERTZ_FACTOR) * fall)


def capacitance_at_frequency(
    capacitance: ArrayLike, *, from_hz: ArrayLike, to_hz: ArrayLike
) -> Floats:
    r"""Capacitance that a part read at one frequency shows at another.

    .. math:: C(f_2) = C(f_1) \, F(f_2) / F(f_1)

    with :math:`F` from :func:`capacitance_frequency_factor`. A typical part is meant; a part
    with high ESR loses more at 1 kHz, so a reading taken at 1 kHz gives a lower bound there.

    Parameters
    ----------
    capacitance : array_like
        At ``from_hz``, positive. [F]
    from_hz, to_hz : array_like
        0 for a direct-current method, or from 50 Hz to 1 kHz. [Hz]

    Returns
    -------
    ndarray, broadcast shape
        NaN where an argument is outside its validity. [F]

    References
    ----------
    .. [1] Wikipedia, "Aluminum electrolytic capacitor",
       https://en.wikipedia.org/wiki/Aluminum_electrolytic_capacitor
    """
    ratio = capacitance_frequency_factor(to_hz) / capacitance_frequency_factor(from_hz)
    return positive(capacitance) * ratio
