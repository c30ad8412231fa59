"""No part is measured while it holds a charge: how that is made sure of, and what to do."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan, nan
from typing import Final

from captriage.bench.asking import Asking, Missing
from captriage.bench.measured import Reads
from captriage.bench.sitting import Ended, Part
from captriage.bench.typist import key_of
from captriage.columns import VOLTAGE
from captriage.units import format_quantity

SAFE_V: Final = 1.0
"""Most that may stand on a part that is to be read by a bridge. [V]

MIL-PRF-49137E 4.8.5 and MIL-DTL-3965H 4.3.2.1 allow a bias of 2.2 V in AC readings, and data
sheets of aluminium electrolytics (Vishay doc. 28309) a reverse voltage of 1 V; the smaller is
taken, since either polarity may be in the clips. It is also common practice to read in circuit
only below 1 V."""

UNKNOWN_FARAD: Final = 1000e-6
"""Capacitance reckoned with where the rating is not told; ours. [F]"""

MARGIN: Final = 1.5
"""Times its rated capacitance that an old part may have: the usual tolerance is up to +50 %."""

ONE_PART: Final = "discharged"
WHOLE_DRAWER: Final = "all discharged"


def how_to_discharge(part: Part | None, voltage: float) -> str:
    """Resistor, time, and what the resistor must stand, to bring a part below 1 V.

    Parameters
    ----------
    part : Part or None
        Its rated capacitance is reckoned with, and a tolerance above it; a large one where it
        is not told.
    voltage : float
        On the part now, of either sign. [V]
    """
    from captriage.judging.discharge import discharge_of  # with numpy, so not sooner

    told = nan if part is None else part.capacitance_rated
    farads = UNKNOWN_FARAD if isnan(told) else MARGIN * told
    volts = abs(voltage)
    found = discharge_of(farads, from_v=volts, to_v=min(SAFE_V, volts))
    seconds = max(found.seconds, 1.0)
    return (
        f"hold {format_quantity(found.ohm, 'Ω')} across it for {format_quantity(seconds, 's')} "
        f"or longer ({format_quantity(found.watts, 'W')} at first: a resistor able to take a "
        f"pulse of {format_quantity(found.joules, 'J')}, rated for "
        f"{format_quantity(found.rated_watts, 'W')} at least and for "
        f"{format_quantity(volts, 'V')}, insulated leads), then measure again: "
        "part of the charge comes back by itself"
    )


HOLDS: Final = "it holds a charge"


class ChargeCheck:
    """Makes sure that a part may be measured.

    Parameters
    ----------
    asking : Asking
        Asks the meters.
    voltmeter : Reads or None
        Across the clips; None where there is none, then the person vouches for it.
    whole_drawer : bool
        Whether the person vouches once for all parts.
    """

    def __init__(self, asking: Asking, voltmeter: Reads | None, *, whole_drawer: bool) -> None:
        self.asking = asking
        self.voltmeter = voltmeter
        self.whole_drawer = whole_drawer
        self._vouched = False
        self._told = ""  # why nothing is measured; "" where it may be

    def before(self, part: Part, obey: Callable[[str], None]) -> None:
        """What has to be asked of the person before a part is measured.

        Parameters
        ----------
        part : Part
            The part.
        obey : callable
            Does what a key asks for that is typed instead, or raises what ends the question.

        Raises
        ------
        Ended
            Nobody is there to vouch; others, as ``obey`` does.
        """
        if self.voltmeter is not None or self._vouched:
            return
        words = WHOLE_DRAWER if self.whole_drawer else ONE_PART
        which = "every part of this drawer" if self.whole_drawer else part.part
        sitting = self.asking.sitting
        while True:
            sitting.show.tell(
                "ask",
                f"No voltmeter is on the bench. Type '{words}' when {which} has been discharged "
                f"and measured below {SAFE_V:g} V (s passes over, b goes back, q ends)",
            )
            typed = sitting.keys.line(f"{ONE_PART}? ")
            if typed is None:
                raise Ended("nobody is there to say that the parts are discharged")
            if " ".join(typed.lower().split()) == words:
                break
            key = key_of(typed)
            if key is not None:
                obey(key)
        self._vouched = self.whole_drawer
        self.asking.sitting.records.event(
            "discharged", f"typed: {words}", None if self.whole_drawer else part
        )

    def refuses(self, part: Part | None) -> str:
        """Why what is in the clips may not be measured now; "" where it may.

        Parameters
        ----------
        part : Part or None
            Expected in the clips; None where another one may be in them by now.

        Raises
        ------
        Ended, PassedOver
            The person had enough of a voltmeter that does not answer.
        """
        if self.voltmeter is None:
            return ""
        answer = self.asking.read(self.voltmeter, part)
        if isinstance(answer, Missing):
            return answer.why
        value = answer.of(VOLTAGE)
        if value is None or isnan(value.value):
            found = "no voltage" if value is None else value.flag or "no number"
            loud = f"{self.voltmeter.name} shows {found}: nothing is measured"
            return self._tell(part, "the voltage is not known", loud, "")
        if abs(value.value) > SAFE_V:
            shown = format_quantity(value.value, "V")
            which = "what is in the clips" if part is None else part.part
            self._tell(
                part,
                HOLDS,
                f"{which} HOLDS {shown}: do not touch it, nothing is measured",
                f"discharge it: {how_to_discharge(part, value.value)}",
            )
            return f"it holds {shown}"
        if self._told:
            self._let_go(part, value.value)
        return ""

    def _tell(self, part: Part | None, why: str, loud: str, remedy: str) -> str:
        """Say it once for as long as it lasts; ``why``, which is given back."""
        sitting = self.asking.sitting
        if self._told == why:
            sitting.show.status(loud)
            return why
        self._told = why
        sitting.records.event("note", loud, part)
        sitting.show.bell()
        sitting.show.tell("CHARGE", loud)
        if remedy:
            sitting.show.tell("", remedy)
        return why

    def _let_go(self, part: Part | None, voltage: float) -> None:
        """No charge is seen any more: discharged, or off the clips, which looks the same."""
        sitting = self.asking.sitting
        shown = f"{abs(voltage):.2f} V"
        sitting.records.event("note", f"the voltmeter shows {shown} across the clips now", part)
        sitting.show.tell(
            "charge", f"{shown} across the clips now: the part is discharged, or it is off them"
        )
        self._told = ""
