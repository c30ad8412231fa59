"""Which readings were taken before a part was reformed: they are told apart from those of today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from captriage.columns import BEFORE, QUANTITIES

if TYPE_CHECKING:
    from captriage.judging.evidence import Mask
    from captriage.report.read_curve import ReadCurve

Instants = NDArray[np.datetime64]

UNTOLD: Final = np.datetime64("NaT", "us")

ANY_HOUR: Final = np.timedelta64(38, "h")
"""By how much an instant of a sheet may differ from that of the bench, which is in UTC: a date
without a time is of any hour of that day, and zones are up to 14 h apart."""


def begun(reads: Sequence[ReadCurve]) -> np.datetime64:
    """When the reform that these curves are of began: the first run whose instants are told.

    A re-test begins nothing: when the reform before it was, it does not tell.
    """
    begins = [
        read.ends_at.astype("datetime64[us]") - _span(read)
        for read in reads
        if read.proof is None and not np.isnat(read.ends_at) and len(read.curve.time_s)
    ]
    return min(begins, default=UNTOLD)


def _span(read: ReadCurve) -> np.timedelta64:
    return np.timedelta64(round(1e6 * float(read.curve.time_s[-1])), "us")


def taken_before(readings: pd.DataFrame, begins: Mapping[int, np.datetime64]) -> Mask:
    """Capacitance and loss that a sheet says were read before the reform of their part began.

    Parameters
    ----------
    readings : DataFrame
        :data:`captriage.columns.READINGS`.
    begins : mapping
        When the reform of a part began, by row of the parts; NaT where it is not told.

    Returns
    -------
    ndarray of bool, one per reading
        False where an instant is not told, and where the day of the reform is told and no hour.
    """
    taken_at = readings["taken_at"].to_numpy("datetime64[us]")
    begin = _begins(readings, begins)
    day = taken_at.astype("datetime64[D]")
    no_hour = (taken_at == day) & (day == begin.astype("datetime64[D]"))
    return np.asarray(_comparable(readings) & (taken_at < begin) & ~no_hour)


def kept_before(
    readings: pd.DataFrame, kept_at: Instants, begins: Mapping[int, np.datetime64]
) -> Mask:
    """Capacitance and loss that a book held before the reform of their part began.

    Parameters
    ----------
    readings, begins
        As for :func:`taken_before`.
    kept_at : ndarray of datetime64, one per reading
        When each was kept, in UTC: by then it had been read.

    Returns
    -------
    ndarray of bool, one per reading
        What was imported later counts where its own date is earlier by more than
        :data:`ANY_HOUR`.
    """
    taken_at = readings["taken_at"].to_numpy("datetime64[us]")
    begin = _begins(readings, begins)
    held = (kept_at < begin) | (taken_at < begin - ANY_HOUR)
    return np.asarray(_comparable(readings) & held)


def _begins(readings: pd.DataFrame, begins: Mapping[int, np.datetime64]) -> Instants:
    """When the reform of its part began, for each reading."""
    rows = readings["part_row"].to_numpy(np.int64)
    table = np.full(int(rows.max(initial=0)) + 1, UNTOLD)
    for row, at in begins.items():
        if row < len(table):
            table[row] = at
    return np.asarray(table[rows], "datetime64[us]")


def _comparable(readings: pd.DataFrame) -> Mask:
    """Readings of what is held against before."""
    return np.asarray(readings["quantity"].isin(list(BEFORE)), bool)


def marked(readings: pd.DataFrame, before: Mask) -> pd.DataFrame:
    """Readings with those of before a reform under the quantities that say so."""
    if not before.any():
        return readings
    quantity = readings["quantity"].to_numpy(object).copy()
    quantity[before] = [BEFORE[name] for name in quantity[before]]
    known = pd.Index(list(QUANTITIES), dtype="str")
    return readings.assign(quantity=pd.Categorical(quantity, categories=known))
