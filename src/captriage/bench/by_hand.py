"""The supply turned by hand: the person is told what to do, and says when it is done."""

from __future__ import annotations

from math import nan
from typing import TYPE_CHECKING, Final

from captriage.bench.key_lines import KeyLines, await_enter, forget_typed, note_of
from captriage.bench.sitting import ENTER, Ended
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.steps import Plan

AGAIN_S: Final = 5.0
"""How often an urgent call is repeated. [s]"""

LOOK_S: Final = 0.1
OFF: Final = "off"
ALONE_S: Final = 600.0
"""How long somebody is called who does not come. [s]"""


class ByHand:
    """What feeds the part in a run: a person at the knob of a supply.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    part, plan : Part, Plan
        The part, and what is carried out.

    Attributes
    ----------
    set_v : float
        What the person was told to set, and said last is set. [V]
    """

    controlled = False
    unsure_v = 0.0
    supply_a = (nan, nan)

    def __init__(self, sitting: Sitting, *, part: Part, plan: Plan) -> None:
        self.sitting, self.part, self.plan = sitting, part, plan
        self.set_v = 0.0
        self._asked: float | None = None  # for this voltage
        self._answered = False
        self._fault = ""
        self._lines = KeyLines(sitting.show)

    @property
    def supply_v(self) -> float:
        """As the person says it is set; NaN while it is being turned. [V]"""
        return self.set_v if self._asked is None else nan

    @property
    def most_v(self) -> float:
        """Most that it may give now: it may have been turned already. [V]"""
        return self.set_v if self._asked is None else max(self.set_v, self._asked)

    def begin(self) -> None:
        """Have it switched on at 0 V.

        Raises
        ------
        Ended
            The person ends, or nobody is there.
        """
        limit = format_quantity(self.plan.supply_limit_a, "A")
        forget_typed(self.sitting)
        self._tell(
            f"turn the voltage of the supply to 0 and its current limit to {limit}, switch it on, "
            "then press Enter (q ends)"
        )
        await_enter(self.sitting, nobody="nobody is there to turn the supply")

    def tick(self) -> None:
        """Nothing is to be done in between."""

    def hear(self) -> None:
        """Nothing is heard of it."""

    def approach(self, target_v: float) -> bool:
        """Have the voltage raised; whether the person says that it is there.

        Raises
        ------
        Ended
            The person has ended it before that was asked.
        """
        volts = format_quantity(target_v, "V")
        rate = format_quantity(self.plan.ramp_v_per_s, "V", digits=2)
        return self._move(
            target_v, f"raise to {volts}, no faster than {rate} a second, then press Enter"
        )

    def lower(self) -> bool:
        """Have the voltage turned down; whether the person says that it is.

        Raises
        ------
        Ended
            As of :meth:`approach`.
        """
        return self._move(0.0, "turn the voltage down to 0, then press Enter")

    def _move(self, target_v: float, said: str) -> bool:
        if self.set_v == target_v:
            return True
        if self._asked != target_v:
            self._asked, self._answered = target_v, False
            forget_typed(self.sitting)
            self.sitting.show.bell()
            self._tell(said)
        if self._answered:
            self.set_v, self._asked = target_v, None
            return True
        return False

    def pressed(self) -> None:
        """Enter: what was asked for is done."""
        self._answered = True

    def off(self, why: str) -> str:
        """Have it switched off; why nobody knows whether it is, "" where the person says so."""
        clock, show = self.sitting.clock, self.sitting.show
        begun, called = clock.monotonic(), -AGAIN_S
        self._fault = "nobody has said that it is off"
        self.sitting.records.event("note", f"to be switched off: {why}", self.part)
        while clock.monotonic() - begun < ALONE_S and not self.sitting.keys.ended:
            if clock.monotonic() - called >= AGAIN_S:
                called = clock.monotonic()
                show.bell()
                show.tell("OFF", f"SWITCH THE SUPPLY OFF NOW, then press Enter: {why}")
            try:
                if self._says_off(self.sitting.keys.poll()):
                    self._fault = ""
                    break
            except Ended:
                show.tell("OFF", "the run is told to end, and cannot wait: switch it off")
                break
            clock.sleep(LOOK_S)
        return self._fault

    def _says_off(self, key: str | None) -> bool:
        """Whether what has come says "it is off"."""
        line = self._lines.take(key)
        if line is None:
            return False
        if line.lower() in (ENTER, OFF):
            return True
        self.sitting.records.event("note", note_of(line) or line, self.part)
        self.sitting.show.tell("OFF", f"{line!r} is kept as a note; is it off? Then press Enter")
        return False

    def unsure(self) -> str:
        """Why nobody knows whether it is off; "" where it is."""
        return self._fault

    def close(self) -> None:
        """Nothing is to be let go."""

    def _tell(self, said: str) -> None:
        self.sitting.show.tell("turn", said)
