"""What is asked of the person before a part is put under voltage."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from captriage.bench.key_lines import BY_THE_PERSON, await_enter, forget_typed
from captriage.bench.pages import Pages
from captriage.bench.remarks import look_of
from captriage.bench.sitting import QUIT, Ended
from captriage.columns import LOOKS
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
SOUND_WORDS: Final = ("sound", "fine", "ok", "okay", "good", "intact", "clean", "perfect")
"""Words of soundness, as the readers of sheets take them; "looks" or "is" may stand before one."""

SEEN: Final = tuple(look for look in LOOKS if look != SOUND)
_SAID_BEFORE: Final = "Mains and charged capacitors kill. "
"""What a plan's cautions begin with: those of the part have said it just before."""

_OF_PLANNING: Final = re.compile(r" *[^.]*--[a-z]+[^.]*\.")
"""A sentence on an option that planning has, and a run has not."""

_SHORT_OPTION: Final = "--resistance"
_LOOKS_OPTION: Final = "--looks"


class Readying:
    """Asks what must be so before there is power; each answer is kept.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    part, plan : Part, Plan
        The part, and what is to be carried out.
    bipolar : bool
        Whether the part is known to have no polarity: only then may it be so confirmed.
    rows : int
        Of the terminal, where the cautions are paged; 0 where they are not.
    """

    def __init__(
        self, sitting: Sitting, *, part: Part, plan: Plan, bipolar: bool = False, rows: int = 0
    ) -> None:
        self.sitting, self.part, self.plan = sitting, part, plan
        self.bipolar, self.rows = bipolar, rows

    def cautions(self) -> None:
        """Show the cautions, and have them acknowledged where the voltage is dangerous.

        Raises
        ------
        Ended
            They are not.
        """
        pages = Pages(self.sitting.show, self.sitting.keys, rows=self.rows)
        for caution in self.plan.cautions:
            pages.tell("care", caution.removeprefix(_SAID_BEFORE))
        pages.turn()
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
            look = seen_as(typed := self._line(asked, "looks: "))
            if look is not None:
                break
            self.sitting.show.tell(
                "looks",
                f"{typed or 'Enter'} is not understood. Type '{SOUND}' (or 'fine', 'ok') when "
                f"nothing is wrong, else what you see: {', '.join(SEEN)}",
            )
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
            if settle := here(question):
                self.sitting.show.tell("settle", settle)
        without = f"'{BIPOLAR}' as the part has no polarity; " if self.bipolar else ""
        self._must_type(
            (POLARITY, BIPOLAR) if self.bipolar else (POLARITY,),
            f"the supply is off. Clip {self.part.part} in: plus of the supply, through {ohms} and "
            f"the ammeter, to plus of the part; a voltmeter across the part. Type '{POLARITY}' "
            f"when it is so ({without}q ends)",
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


def seen_as(typed: str) -> str | None:
    """The look that was typed, plain words of soundness among them; None for anything else."""
    said = re.sub(r"^(?:it )?(?:looks|is) ", "", " ".join(typed.lower().strip(" .!").split()))
    return SOUND if said in SOUND_WORDS else look_of(said)


def here(question: str) -> str:
    """A question of planning as it is settled at the bench; "" where it has been answered there."""
    if _LOOKS_OPTION in question:
        return ""  # it has just been looked at
    at_bench = " Where it is, end with q." if _SHORT_OPTION in question else ""
    return _OF_PLANNING.sub("", question) + at_bench
