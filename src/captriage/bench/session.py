"""A reforming run carried out: raised step by step, watched, stopped, switched off, discharged.

Whoever feeds the part, a supply under control or a person at its knob, the way is the same. In
every tick the supply is heard, the keys are looked at, what the meters have said is kept and held
against every stop. Whatever happens, the output goes off before anything else is done, and the
run ends only when the part reads discharged, or says aloud that nobody could confirm it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.danger_words import stop_at_danger
from captriage.bench.emptying import Emptying
from captriage.bench.key_lines import BY_THE_PERSON, KeyLines, note_of
from captriage.bench.moments import charging_ends_s
from captriage.bench.presence import Presence
from captriage.bench.run_data import Feeds, RunSummary
from captriage.bench.sitting import ENTER, QUIT, Ended, Part, Sitting
from captriage.bench.stopping import Stopped
from captriage.bench.telling import counted
from captriage.errors import BookError, CapTriageError
from captriage.units import format_quantity

if TYPE_CHECKING:
    from captriage.bench.ending_records import EndingRecords
    from captriage.bench.run_readings import RunReadings
    from captriage.reform.steps import Plan, Step

TICK_S: Final = 0.05
"""From one look at everything to the next. [s]"""

LOWERING_S: Final = 120.0
"""Longest time that the voltage is lowered; then it is switched off. [s]"""

KEYS: Final = (
    "Enter alone you are there, n TEXT a note, q lowers the voltage and ends; a word of danger, "
    "such as smoke, switches off at once"
)

Numbered = tuple[int, "Step"]


class Session:
    """A run at steps that share one series resistor.

    Parameters
    ----------
    sitting : Sitting
        Book, keys, screen, clock.
    records : EndingRecords
        Those of the sitting.
    part, plan : Part, Plan
        The part, and the whole plan.
    steps : sequence of (int, Step)
        Those that are to be carried out, with their numbers in the plan.
    source : Feeds
        What feeds the part.
    readings : RunReadings
        What the meters say.
    emptying : Emptying
        Sees to the discharge.
    """

    def __init__(
        self,
        sitting: Sitting,
        *,
        records: EndingRecords,
        part: Part,
        plan: Plan,
        steps: Sequence[Numbered],
        source: Feeds,
        readings: RunReadings,
        emptying: Emptying,
    ) -> None:
        self.sitting, self.records = sitting, records
        self.part, self.plan, self.steps = part, plan, steps
        self.source, self.readings, self.emptying = source, readings, emptying
        self.summary = RunSummary()
        self._presence = Presence(sitting, plan.key_press_s)
        self._lines = KeyLines(sitting.show)
        self._why = "the program was broken off"

    def run(self) -> RunSummary:
        """Carry the steps out, switch off, and see the part discharged.

        Raises
        ------
        BookError
            The end could not be kept: it is switched off, and the person was told all of it.
        Exception
            Any other, a fault of this program, comes through likewise.
        """
        try:
            self._energised()
        finally:
            # Also where a second Ctrl-C or a full disk ends it: the person must know.
            self._settle_summary()
            if isnan(self.summary.discharged_v):
                self._warn()
        if self.records.failed and not self.summary.ended:
            raise BookError(self.records.failed)
        return self.summary

    def _energised(self) -> None:
        """From switching on to the reading that says discharged."""
        try:
            self._carry_out()
        except Exception:  # a fault of this program: the part comes first, then it is told
            self._discharge()
            raise
        self._discharge()

    def _carry_out(self) -> None:
        """From switching on to switching off."""
        urgent = True
        try:
            self.source.begin()
            self._presence.pressed()
            for number, step in self.steps:
                self._step(number, step)
            urgent, self._why = False, "all steps are done"
        except Stopped as stop:
            urgent = stop.urgent
            self.summary.ended = self._why = str(stop)
        except Ended as why:
            urgent = False
            self.summary.ended = self._why = str(why)
        except CapTriageError as error:  # of the supply, or of the book
            self.summary.ended = self._why = str(error)
        finally:
            self._off(urgent=urgent)

    # Steps

    def _step(self, number: int, step: Step) -> None:
        """Raise to a voltage and hold it until the current has settled.

        Raises
        ------
        Stopped, Ended
            The run ends.
        """
        self.summary.at_step = number
        volts = format_quantity(step.supply_v, "V")
        name = f"step {number} of {len(self.plan.steps)}, {volts}"
        self._tell(f"{name}: until the current is below {format_quantity(step.below_a, 'A')}")
        readings, clock = self.readings, self.sitting.clock
        readings.begin(number, step)
        if not self.source.controlled:  # a hand may have turned it anywhere by now
            self.summary.highest_v = max(self.summary.highest_v, step.supply_v)
        while not self.source.approach(step.supply_v):
            self._tick()
        held_from = clock.monotonic()
        readings.reached(held_from)
        self._tell(f"{name}: reached")
        while not readings.done:
            self._tick()
            held_s = clock.monotonic() - held_from
            if held_s > charging_ends_s(step):
                readings.slow_down(held_s)
            if held_s > step.most_s:
                most = format_quantity(step.most_s, "s")
                raise Stopped(
                    f"{name}: {format_quantity(readings.current_a, 'A')} after {most}; it has not "
                    f"come below {format_quantity(step.below_a, 'A')}",
                    urgent=False,
                )
        self.summary.steps_done.append(number)
        self._tell(f"{name}: done with {format_quantity(readings.current_a, 'A')}")

    def _tell(self, said: str) -> None:
        self.sitting.records.event("note", said, self.part)
        self.sitting.show.tell("step", said)

    def _tick(self) -> None:
        """Look at everything once.

        Raises
        ------
        Stopped, Ended
            The run ends.
        """
        self.source.tick()
        self.summary.highest_v = max(self.summary.highest_v, self.source.set_v)
        self._look_at_keys()
        self._presence.look()
        if self.readings.take(self.source):
            self._presence.pressed()
        self.readings.look_for_silence()
        self.sitting.clock.sleep(TICK_S)

    def _look_at_keys(self) -> None:
        """Do what the keys ask for.

        Raises
        ------
        Ended
            They end the run.
        Stopped
            They tell of danger.
        """
        key = self.sitting.keys.poll()
        if key is None:
            return
        self._presence.pressed()
        line = self._lines.take(key)
        if line is None:
            return
        if line == ENTER:
            self.source.pressed()
        elif line == QUIT:
            raise Ended(BY_THE_PERSON)
        elif note := note_of(line):
            self.sitting.records.event("note", note, self.part)
            self.sitting.show.tell("note", note)
        else:
            stop_at_danger(line)
            self.sitting.show.tell("keys", f"{line!r} is none: {KEYS}")

    # The end

    def _off(self, *, urgent: bool) -> None:
        """Lower the voltage unless it is urgent, and switch off before anything is written."""
        self.records.end_begins()
        self.readings.end_begins()
        try:
            if not urgent:
                self._lower()
        finally:
            self.summary.off_fault = self.source.off(self._why)
            self._say_off()
            self.source.hear()
            self.readings.keep_what_stopped()

    def _lower(self) -> None:
        """Lower the voltage; anything that goes wrong only shortens it."""
        clock = self.sitting.clock
        until = clock.monotonic() + LOWERING_S
        try:
            self._look_at_keys()  # told to end by Ctrl-C, every look says so: nothing is lowered
            self._tell(f"lowering the voltage: {self._why}")
            self.readings.lowering()
            while not self.source.lower() and clock.monotonic() < until:
                self.source.tick()
                self.readings.take(self.source)
                self._look_at_keys()
                clock.sleep(TICK_S)
        except (Stopped, Ended, CapTriageError) as error:
            self._tell(f"not lowered, but switched off at once: {error}")

    def _say_off(self) -> None:
        show, records, fault = self.sitting.show, self.sitting.records, self.summary.off_fault
        if self.summary.ended:
            show.bell()
            show.tell("STOP", self._why)
        if fault:
            said = f"the supply is NOT KNOWN TO BE OFF: {fault}. Pull its plug"
            show.bell()
            show.tell("DANGER", said)
        else:
            said = f"the supply is off: {self._why}"
            show.tell("off", said)
        records.event("stopped", self._why, self.part)
        records.event("note", said, self.part)

    def _discharge(self) -> None:
        self.summary.highest_v = max(self.summary.highest_v, self.source.set_v)
        found = self.emptying.after(max(self.summary.highest_v, 0.0), self.source.unsure)
        self.summary.discharged_v = found
        self.summary.off_fault = self.source.unsure()

    def _settle_summary(self) -> None:
        summary, readings = self.summary, self.readings
        summary.taken, summary.current_a = readings.taken, readings.current_a
        summary.progress = readings.progress

    def _warn(self) -> None:
        """Say at the very end what nobody knows."""
        volts = format_quantity(self.summary.highest_v, "V")
        self.sitting.show.tell(
            "DANGER",
            f"{self.part.part} is not known to be discharged ({volts}; "
            f"{counted(self.summary.taken, 'reading')} kept). Do not touch it",
        )


def legs_of(plan: Plan) -> list[list[Numbered]]:
    """Steps of a plan, parted where another series resistor is to be put in."""
    legs: list[list[Numbered]] = []
    ohm = nan
    for number, step in enumerate(plan.steps, 1):
        if step.series_ohm != ohm:
            legs.append([])
        ohm = step.series_ohm
        legs[-1].append((number, step))
    return legs
