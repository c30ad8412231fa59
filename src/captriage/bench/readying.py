"""What is asked of the person before a part is put under voltage."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from captriage.bench.key_lines import BY_THE_PERSON, await_enter, forget_typed
from captriage.bench.remarks import CHOICES, look_of
from captriage.bench.sitting import QUIT, Ended
from captriage.errors import CapTriageError
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.sitting import Part, Sitting
    from captriage.reform.steps import Plan

TYPED_ABOVE_V: Final = 60.0
"""Voltage above which the cautions are acknowledged by typing; common practice for DC, dry. [V]"""

ACKNOWLEDGED: Final = "this can kill"
POLARITY: Final = "plus to plus"
BIPOLAR: Final = "bipolar"
SOUND: Final = "sound"


class Readying:
    """Asks what must be so before there is power; each answer is kept.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    part, plan : Part, Plan
        The part, and what is to be carried out.
    """

    def __init__(self, sitting: Sitting, *, part: Part, plan: Plan) -> None:
        self.sitting, self.part, self.plan = sitting, part, plan

    def cautions(self) -> None:
        """Show the cautions, and have them acknowledged where the voltage is dangerous.

        Raises
        ------
        Ended
            They are not.
        """
        for caution in self.plan.cautions:
            self.sitting.show.tell("care", caution)
        if self.plan.target_v > TYPED_ABOVE_V:
            self._must_type(
                (ACKNOWLEDGED,),
                f"up to {format_quantity(self.plan.target_v, 'V')} will stand here. Type "
                f"'{ACKNOWLEDGED}' when you have read the cautions and keep to them (q ends)",
            )

    def looks(self) -> None:
        """Have the part looked at.

        Raises
        ------
        Ended
            Nobody does.
        CapTriageError
            It is damaged.
        """
        name = self.part.part
        asked = (
            f"look at {name} from all sides. Type '{SOUND}' when nothing is bulged, vented, "
            "leaked, scorched, split or burst; else what you see (q ends)"
        )
        while True:
            look = look_of(typed := self._line(asked, "looks: "))
            if look is not None:
                break
            self.sitting.show.tell("looks", f"{typed or 'Enter'} is none of {CHOICES}")
        self.sitting.records.look(self.part, look, typed)
        if look != SOUND:
            raise CapTriageError(
                f"{name}: {look}; no voltage is put on it: replace it, or strike the look out of "
                "the book where it is not so"
            )

    def wiring(self, series_ohm: float) -> None:
        """Have polarity and series resistor confirmed.

        Raises
        ------
        Ended
            Nobody does.
        """
        ohms = format_quantity(series_ohm, "Ω")
        for question in self.plan.questions:
            self.sitting.show.tell("settle", question)
        self._must_type(
            (POLARITY, BIPOLAR),
            f"the supply is off. Clip {self.part.part} in: plus of the supply, through {ohms} and "
            f"the ammeter, to plus of the part; a voltmeter across the part. Type '{POLARITY}' "
            f"when it is so ('{BIPOLAR}' where the part has no polarity; q ends)",
        )

    def begin(self) -> None:
        """Have the start confirmed.

        Raises
        ------
        Ended
            The person ends, or nobody is there.
        """
        forget_typed(self.sitting)  # a second Enter of the line before is no leave
        self.sitting.show.tell(
            "ready", "shield in place, hands off: press Enter, and the voltage comes (q ends)"
        )
        await_enter(self.sitting, nobody="nobody is there to begin")

    def _must_type(self, words: tuple[str, ...], asked: str) -> None:
        while True:
            typed = " ".join(self._line(asked, "type: ").lower().split())
            if typed in words:
                self.sitting.records.event("note", f"typed: {typed}", self.part)
                return
            wanted = " or ".join(f"'{word}'" for word in words)
            self.sitting.show.tell("", f"{typed or 'Enter'} is not enough; type {wanted} in full")

    def _line(self, asked: str, prompt: str) -> str:
        self.sitting.show.tell("ask", asked)
        typed = self.sitting.keys.line(prompt)
        if typed is None:
            raise Ended(f"nobody is there to answer: {asked}")
        if typed.strip().lower() == QUIT:
            raise Ended(BY_THE_PERSON)
        return typed.strip()
