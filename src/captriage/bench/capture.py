"""Capture of one part: from open clips to N readings, and back to open clips.

A state machine that is fed answers, faults and presses of Enter, each with its time; it reads
no meter and no clock. What it lets through was read while one part stayed in the clips, after
its readings had come to rest, with nothing missing in between.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import inf, isnan, nan
from typing import Final

from captriage.bench.contact import Clips, OpenClips, impedance_ohm
from captriage.bench.manner import NO_PART, Manner, Said, State, Turn
from captriage.bench.measured import Answer
from captriage.bench.pace import Fresh, Pace
from captriage.bench.steadiness import Steadiness, Window, means

NOTICED_AFTER: Final = 2  # answers in a row that show a part
UNCLEAR_AFTER: Final = 3  # answers in a row without a number, before it is said
INTERMITTENT_AFTER: Final = 3  # breaks and jumps of one part

DRIFTING: Final = "drifting: taken as it was"
BY_HAND: Final = "open: filed by hand"


class Capture:
    """Capture of one part.

    Parameters
    ----------
    clips : OpenClips
        What the clips show while they are open; shared by all parts of a sitting.
    steady : Steadiness
        How far readings of a steady part differ on this meter.
    pace : Pace
        How fast its answers come; shared by all parts of a sitting, too.
    manner : Manner
        How many readings, how long to wait.
    capacitance_rated : float
        Of the part; NaN where it is not told. [F]
    before : mapping of str to float
        Means of the part filed before this one: the very same readings again are asked about.
    occupied : bool
        Whether another part is in the clips still, which has to come off first.
    """

    def __init__(
        self,
        clips: OpenClips,
        steady: Steadiness,
        *,
        pace: Pace,
        manner: Manner,
        capacitance_rated: float = nan,
        before: Mapping[str, float] = NO_PART,
        occupied: bool = False,
    ) -> None:
        self.clips, self.steady, self.pace, self.manner = clips, steady, pace, manner
        pace.forget()
        self.capacitance_rated = capacitance_rated
        self.before = before
        self.state = State.OCCUPIED if occupied else State.NOTHING
        self.taken: list[Answer] = []
        self.breaks = 0
        self.occupied = occupied  # whether something is in the clips, as far as was seen last
        self._started = manner.hands_free
        self._as_read: Clips | None = None  # filed by hand as it reads
        self._drifting_taken = False
        self._last: tuple[Clips, Answer] | None = None
        self._pressed_at = -inf
        self._since = nan  # of the present state; NaN until the first answer in it
        self._hush: set[Said] = set()  # said since the state began
        self._asked = False
        self._window = Window(manner.window, manner.settled_s)
        self._fresh = Fresh(manner.spacing_s, manner.fresh_s)
        self._in_a_row = self._unclear = 0
        self._opened_at = nan

    @property
    def only_a_press_goes_on(self) -> bool:
        """Whether the part was filed as open clips read, so that its coming off cannot be seen."""
        return self.state is State.DONE and self._as_read is Clips.OPEN

    @property
    def asks(self) -> bool:
        """Whether a press of Enter would file the part as it reads."""
        return self._asked

    @property
    def unclear(self) -> bool:
        """Whether the last answer was of something that the meter gave no number of."""
        return self._last is not None and self._last[0] is Clips.UNCLEAR

    def answered(self, answer: Answer) -> Turn:
        """Take the next answer of the meter."""
        gap_s = self.pace.gap(answer.monotonic_s)
        if gap_s:
            return self._paused(gap_s, answer)
        return self._answered(answer)

    def _answered(self, answer: Answer) -> Turn:
        held = self.clips.holds(answer, capacitance_rated=self.capacitance_rated)
        self._last = held, answer
        self.occupied = held is not Clips.OPEN
        if isnan(self._since):
            self._since = answer.monotonic_s
        return self._on[self.state](self, held, answer)

    def _paused(self, gap_s: float, answer: Answer) -> Turn:
        """Begin anew with this answer: whose it is that came before it, nobody knows."""
        begun = self.state in (State.NOTICED, State.SETTLING, State.TAKING)
        before = self.lost("nobody watched the clips for a while")
        self.pace.gap(answer.monotonic_s)
        turn = self._answered(answer)
        if not begun:
            return turn
        return replace(turn, void=before.void, said=Said.PAUSED, gap_s=gap_s)

    def lost(self, why: str) -> Turn:
        """An answer is missing: nothing from before it may be mixed with what comes after."""
        self.pace.forget()
        self._last = None
        self._opened_at = nan
        if self.state in (State.OCCUPIED, State.DONE, State.OFF):
            return Turn(self.state)
        return self._restart(why)

    def pressed(self, monotonic_s: float) -> Turn:
        """Enter was pressed, or the foot switch."""
        double = monotonic_s - self._pressed_at < self.manner.double_s
        self._pressed_at = monotonic_s
        if double:
            return Turn(self.state)
        if self.state is State.SETTLING and self._hush & {Said.DRIFTING, Said.SAME}:
            self._drifting_taken = Said.DRIFTING in self._hush
            return self._enter(State.TAKING)
        if self.state is State.DONE and (self._as_read is Clips.OPEN or Said.CHANGED in self._hush):
            return self._let_go(State.OFF)
        if self.state is State.OCCUPIED:
            return self._let_go(State.NOTHING)  # it is another part already, says the person
        if self.state is State.NOTHING:
            return self._pressed_idle()
        self._started = True
        return Turn(self.state)

    def _let_go(self, state: State) -> Turn:
        self.occupied = False
        return self._enter(state)

    def _pressed_idle(self) -> Turn:
        self._started = True
        if self._last is None or self._last[0] is Clips.PART:
            return Turn(self.state)
        if not self._asked:
            open_ = self._last[0] is Clips.OPEN
            return self._ask(Said.LOOKS_OPEN if open_ else Said.UNCLEAR)
        self._as_read = self._last[0]
        return self._enter(State.TAKING)

    def _idle(self, held: Clips, answer: Answer) -> Turn:
        if not self._started:
            return Turn(self.state)
        if held is Clips.PART:
            self._in_a_row += 1
            if self._in_a_row < NOTICED_AFTER:
                return self._enter(State.NOTICED)
            return self._enter(State.SETTLING, since=answer.monotonic_s, said=Said.NOTICED)
        self._in_a_row = 0
        if self.state is State.NOTICED:
            self._enter(State.NOTHING, since=answer.monotonic_s)
        self._unclear = self._unclear + 1 if held is Clips.UNCLEAR else 0
        if self._unclear >= UNCLEAR_AFTER and Said.UNCLEAR not in self._hush:
            return self._ask(Said.UNCLEAR)
        waited = answer.monotonic_s - self._since
        if held is Clips.OPEN and waited >= self.manner.patience_s and not self._asked:
            return self._ask(Said.LOOKS_OPEN)
        return Turn(self.state)

    def _settling(self, held: Clips, answer: Answer) -> Turn:
        if held is not Clips.PART:
            return self._broke(held)
        if not self._fresh.is_new(answer):
            return Turn(self.state)
        self._window.add(answer)
        window = self._window.answers
        if self._window.full and self.steady.agree(window):
            if not self.steady.alike(means(window), self.before, answer):
                return self._enter(State.TAKING)
            return self._say(Said.SAME)
        if answer.monotonic_s - self._since >= self.manner.drifting_s:
            return self._say(Said.DRIFTING)
        return Turn(self.state)

    def _taking(self, held: Clips, answer: Answer) -> Turn:
        if held is not (self._as_read or Clips.PART):
            return self._broke(held)
        if not self._fresh.is_new(answer):
            return Turn(self.state)
        strict = self._as_read is None and not self._drifting_taken
        if strict and not self.steady.follows(answer, self._window.answers):
            return self._jumped(answer)
        kept = answer.flagged(self._flag(answer))
        self.taken.append(kept)
        if len(self.taken) < self.manner.readings:
            return Turn(self.state, taken=kept)
        return replace(self._enter(State.DONE), taken=kept)

    def _done(self, held: Clips, answer: Answer) -> Turn:
        if self._as_read is Clips.OPEN:
            return Turn(self.state)  # off looks the same: only a press tells
        if held is not Clips.OPEN:
            self._opened_at = nan
            return self._unlike(held, answer)
        if self._opened(answer.monotonic_s):
            return self._enter(State.OFF)
        return Turn(self.state)

    def _unlike(self, held: Clips, answer: Answer) -> Turn:
        """What to say of a part that is not off, where it reads otherwise than it did."""
        if self._as_read is not None:
            return Turn(self.state)
        if held is Clips.UNCLEAR:
            self._unclear += 1
            often = self._unclear >= UNCLEAR_AFTER
            return self._say(Said.CHANGED) if often else Turn(self.state)
        self._unclear = 0
        changed = not self.steady.follows(answer, self.taken)
        return self._say(Said.CHANGED) if changed else Turn(self.state)

    def _occupied(self, held: Clips, answer: Answer) -> Turn:
        if held is not Clips.OPEN:
            self._opened_at = nan
            return self._say(Said.OCCUPIED)
        if self._opened(answer.monotonic_s):
            return self._enter(State.NOTHING, said=Said.OPENED)
        return Turn(self.state)

    def _opened(self, now: float) -> bool:
        """Whether the clips have been open for long enough to be called so."""
        if isnan(self._opened_at):
            self._opened_at = now
        wanted = self.manner.off_broken_s if self.breaks else self.manner.off_s
        return now - self._opened_at >= wanted

    def _off(self, held: Clips, answer: Answer) -> Turn:
        del held, answer
        return Turn(self.state)

    _on: Final[Mapping[State, Callable[[Capture, Clips, Answer], Turn]]] = {
        State.OCCUPIED: _occupied,
        State.NOTHING: _idle,
        State.NOTICED: _idle,
        State.SETTLING: _settling,
        State.TAKING: _taking,
        State.DONE: _done,
        State.OFF: _off,
    }

    def _flag(self, answer: Answer) -> str:
        if self._drifting_taken:
            return DRIFTING
        told = not isnan(impedance_ohm(answer, frequency_hz=self.clips.frequency_hz))
        return BY_HAND if self._as_read is Clips.OPEN and told else ""

    def _broke(self, held: Clips) -> Turn:
        self.breaks += 1
        unclear = held is Clips.UNCLEAR
        why = "the meter gave no number" if unclear else "the part came off"
        turn = self._restart(f"{why} before all readings were taken")
        if self.breaks >= INTERMITTENT_AFTER:
            return replace(turn, said=Said.INTERMITTENT)
        return replace(turn, said=Said.NO_NUMBER if unclear else Said.CAME_OFF)

    def _jumped(self, answer: Answer) -> Turn:
        self.breaks += 1
        turn = self._restart("the reading jumped before all were taken")
        self._enter(State.SETTLING, since=answer.monotonic_s)
        self._fresh.is_new(answer)
        self._window.add(answer)
        often = self.breaks >= INTERMITTENT_AFTER
        return replace(turn, state=self.state, said=Said.INTERMITTENT if often else Said.JUMPED)

    def _restart(self, why: str) -> Turn:
        void = why if self.taken else ""
        self._forget()
        return replace(self._enter(State.NOTHING), void=void)

    def _forget(self) -> None:
        self.taken = []
        self._window = Window(self.manner.window, self.manner.settled_s)
        self._fresh = Fresh(self.manner.spacing_s, self.manner.fresh_s)
        self._as_read = None
        self._drifting_taken = False
        self._in_a_row = self._unclear = 0
        self._opened_at = nan
        self._asked = False

    def _enter(self, state: State, *, since: float = nan, said: Said | None = None) -> Turn:
        self.state = state
        self._since = since
        self._hush = set()
        self._asked = False
        return Turn(state, said=said)

    def _ask(self, said: Said) -> Turn:
        self._asked = True
        self._hush.add(said)
        return Turn(self.state, said=said)

    def _say(self, said: Said) -> Turn:
        if said in self._hush:
            return Turn(self.state)
        self._hush.add(said)
        return Turn(self.state, said=said)
