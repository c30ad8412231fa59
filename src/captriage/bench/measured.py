"""What a meter says, once it is understood: values in SI with their uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from math import nan
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Value:
    """One quantity of an answer.

    Attributes
    ----------
    quantity : str
        Key of :data:`captriage.columns.QUANTITIES` or
        :data:`captriage.columns.BENCH_QUANTITIES`.
    value : float
        In SI; NaN where the meter meant no number (over range, bad status).
    uncertainty : float
        Expanded, k = 2, from the profile's accuracy; NaN where that is not stated.
    at_least, at_most, range_high : float
        Bounds and the end of the range, as in :data:`captriage.columns.READINGS`; NaN unknown.
    flag : str
        "" where nothing is to be said; else it starts with a key of
        :data:`captriage.columns.FLAGS`.
    """

    quantity: str
    value: float
    uncertainty: float = nan
    at_least: float = nan
    at_most: float = nan
    range_high: float = nan
    flag: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """All that one reply of a meter holds, and the reply itself as it came."""

    values: tuple[Value, ...]
    raw: str
    utc: datetime  # aware, UTC, at receipt
    monotonic_s: float  # of the same moment; a clock that is never set back

    def of(self, quantity: str) -> Value | None:
        """The value of this quantity, if the answer holds it."""
        return next((value for value in self.values if value.quantity == quantity), None)

    def flagged(self, flag: str) -> Answer:
        """The answer with this said of each of its values, after what the meter said of them."""
        if not flag:
            return self
        said = ["; ".join(filter(None, (value.flag, flag))) for value in self.values]
        values = zip(self.values, said, strict=True)
        return replace(self, values=tuple(replace(value, flag=text) for value, text in values))


class Clock(Protocol):
    """Time as the bench sees it; tests pass one that runs faster, or is set back."""

    def utc(self) -> datetime:
        """Wall clock, aware, UTC."""

    def monotonic(self) -> float:
        """Seconds that only ever grow."""

    def sleep(self, seconds: float) -> None:
        """Wait."""


class Reads(Protocol):
    """What logging needs of a meter, be it on a wire or a person who types."""

    name: str
    """What messages call it: "bridge", "multimeter"."""

    settings: Mapping[str, float]
    """What it is set to: frequency_hz, level_v ...; as it says itself where it was asked."""

    def open(self) -> str:
        """Connect, wake and identify; the identity as the meter gives it.

        Raises
        ------
        Gone, Silent, Garbled
            No meter, or not the one the profile describes.
        """

    def use(self, function: str, **settings: float) -> None:
        """Set it up for a function of its profile.

        Raises
        ------
        ProfileError
            It has no such function, or a setting lies outside its limits.
        Gone, Silent, Garbled
            It did not take the set-up.
        Unset
            It says that it did not.
        """

    def read(self) -> Answer:
        """One answer, checked.

        Raises
        ------
        Gone, Silent, Garbled
            There is none to be believed.
        """

    def act(self, action: str, **settings: float) -> None:
        """Send an action of its profile ("beep", "on", "off", ...); none of that name, nothing.

        Raises
        ------
        ProfileError
            A setting lies outside its limits.
        Gone, Silent, Garbled
            It was not taken.
        Unset
            The meter says that it was not.
        """

    def reopen(self) -> str:
        """Connect again after :class:`Gone` and set it up as it was; refused to another meter.

        Raises
        ------
        Gone, Silent, Garbled, Unset
            It is not back yet, another meter answers, or it does not take its settings.
        """

    def close(self) -> None:
        """Make it safe if it was changed, as far as the wire allows; let it go. Never raises."""
