"""One part, from its heading to open clips: asked, captured, kept, told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from captriage.bench.asking import Missing
from captriage.bench.capture import Capture
from captriage.bench.contact import OpenClips
from captriage.bench.discharging import ChargeCheck
from captriage.bench.manner import NO_PART, Manner, Said, State, Turn
from captriage.bench.measured import Answer, Reads
from captriage.bench.pace import Pace
from captriage.bench.remarks import remark
from captriage.bench.sentences import CALLS, SENTENCES
from captriage.bench.sitting import ENTER, QUIT, Advice, Kept, Part, PassedOver, Sitting
from captriage.bench.steadiness import Steadiness, means
from captriage.bench.telling import answer_figures, mean_figures, numbered
from captriage.bench.typist import (
    BACK,
    INSTEAD,
    LOOKS,
    NOTE,
    REDO,
    SKIP,
    BegunAnew,
    Typist,
    WentBack,
    key_of,
)


class Way(Enum):
    """Where to go from a part."""

    NEXT = "next"
    BACK = "back"


@dataclass
class Station:
    """What stays the same from part to part, and what one part leaves to the next."""

    sitting: Sitting
    bridge: Reads
    check: ChargeCheck
    steady: Steadiness
    manner: Manner
    advice: Advice
    conditions: Mapping[str, float]  # as the book names them
    clips: OpenClips
    pace: Pace
    typist: Typist  # who types where a meter is read by a person
    typed: bool = False  # the person is the meter: nothing to notice or to wait for
    before: Mapping[str, float] = field(default_factory=lambda: NO_PART)
    occupied: bool = False
    taken: int = 0  # answers
    standing: set[str] = field(default_factory=set)  # those that were not struck out since
    due_s: float = -1.0  # when the bridge may be asked again


class OnePart:
    """The capture of one part at a station.

    Parameters
    ----------
    station : Station
        The bench.
    part : Part
        Which part.

    Attributes
    ----------
    complete : bool
        Whether all its readings have been taken.
    """

    def __init__(self, station: Station, part: Part) -> None:
        self.station, self.part = station, part
        self.complete = False
        self._kept: list[Kept] = []  # what was taken of this part and counts
        self._limits_told = False
        self._wordless = False  # the meter said why it gives no number, and still does
        self.capture = self._anew(occupied=station.occupied)

    def run(self) -> Way:
        """Take its readings and wait for it to come off.

        Raises
        ------
        Ended, PassedOver
            The person has had enough; what was taken in part is struck out.
        BookError
            Something could not be kept.
        """
        self.capture = self._anew(occupied=self.station.occupied)
        self.station.typist.obey = self.obey
        vouched = False
        try:
            while True:
                try:
                    if not vouched:
                        self.station.check.before(self.part, self.obey)
                        vouched = True
                    return self._typed() if self.station.typed else self._captured()
                except BegunAnew:
                    self._redo()
        except WentBack:
            self.give_up("gone back before all readings were taken")
            return Way.BACK
        finally:
            self.station.occupied = self.capture.occupied

    def obey(self, key: str) -> None:
        """Do what a key asks for that is typed where something else was asked for.

        Raises
        ------
        Ended, PassedOver, WentBack, BegunAnew
            That is what it asks for.
        """
        if key == SKIP:
            raise PassedOver
        if key == BACK:
            raise WentBack
        if key == REDO:
            raise BegunAnew
        if key[:1] in (NOTE, LOOKS, QUIT):
            remark(self.station.sitting, self.part, key)
        else:
            self.station.sitting.show.tell("keys", INSTEAD)

    def give_up(self, why: str) -> None:
        """Strike out what was taken of it, unless it was taken whole."""
        if not self.complete:
            self._void(why)

    def _anew(self, *, occupied: bool = False) -> Capture:
        station = self.station
        return Capture(
            station.clips,
            station.steady,
            pace=station.pace,
            manner=station.manner,
            capacitance_rated=self.part.capacitance_rated,
            before=station.before,
            occupied=occupied,
        )

    def _captured(self) -> Way:
        hands_free = self.station.manner.hands_free
        ready = "clip it on" if hands_free else "clip it on, then Enter"
        self.station.sitting.show.tell("ready", f"{self.part.part}: {ready}")
        while self.capture.state is not State.OFF:
            key = self.station.sitting.keys.poll()
            if key is None:
                self._pace()
                self._once()
            elif key == BACK:
                raise WentBack
            elif key == SKIP and self.complete:
                return Way.NEXT
            else:
                self._key(key)
        return Way.NEXT

    def _typed(self) -> Way:
        """A person reads the meter, and types once what it shows."""
        station = self.station
        while station.check.refuses(self.part):
            key = station.sitting.keys.poll()
            if key is not None and key != ENTER:
                self.obey(key_of(key) or key)
            self._pace()
        while isinstance(answer := station.check.asking.read(station.bridge, self.part), Missing):
            pass
        self._keep(answer)
        self._finish([answer])
        return Way.NEXT

    def _key(self, key: str) -> None:
        if key == SKIP:
            raise PassedOver
        if key == ENTER:
            self._obey(self.capture.pressed(self.station.sitting.clock.monotonic()))
        elif key == REDO:
            self._redo()
        else:
            remark(self.station.sitting, self.part, key)
            # Whoever typed had no eye on the clips.
            self._obey(self.capture.lost("something was typed meanwhile"))

    def _redo(self) -> None:
        self._void("redone")
        self.complete = False
        self.station.before = NO_PART
        self.capture = self._anew()
        self.station.sitting.show.tell("redo", self.part.part)

    def _pace(self) -> None:
        station, clock = self.station, self.station.sitting.clock
        left = station.due_s - clock.monotonic()
        if left > 0:
            clock.sleep(min(left, station.manner.interval_s))
        station.due_s = clock.monotonic() + station.manner.interval_s

    def _once(self) -> None:
        """One look at the voltage, one question to the bridge."""
        station, part, capture = self.station, self.part, self.capture
        self._tell_limits()
        known = capture.state not in (State.OCCUPIED, State.DONE)
        refused = station.check.refuses(part if known else None)
        if refused:
            self._missed(refused)
            return
        answer = station.check.asking.read(station.bridge, part)
        if isinstance(answer, Missing):
            self._missed(answer.why)
            return
        before = capture.state
        turn = capture.answered(answer)
        self._tell_wordless(answer)
        self._obey(turn)
        shown = f"{part.part}: {capture.state.value}  {answer_figures(answer)}"
        station.sitting.show.status(shown)
        if capture.state is State.DONE and before is not State.DONE:
            self._finish(capture.taken)

    def _tell_wordless(self, answer: Answer) -> None:
        """Say once, for as long as it lasts, why the meter gives no number."""
        beyond = any(value.flag.startswith("over range") for value in answer.values)
        wordless = self.capture.unclear and not beyond  # that is the part, not the meter
        if wordless and not self._wordless:
            said = f"{self.station.bridge.name}: {answer_figures(answer)}"
            self.station.sitting.records.event("fault", said, self.part)
            self.station.sitting.show.tell("fault", said)
        self._wordless = wordless

    def _missed(self, why: str) -> None:
        """An answer is missing: what is in the clips now, nobody knows."""
        self._obey(self.capture.lost(why))
        self.capture.occupied = True

    def _obey(self, turn: Turn) -> None:
        if turn.void:
            self._void(turn.void)
        if turn.gap_s:
            paused = f"{turn.gap_s:.1f} s without an answer: begun anew"
            self.station.sitting.records.event("gap", paused, self.part)
        if turn.taken is not None:
            self._keep(turn.taken)
        if turn.said is not None:
            self._say(turn.said)

    def _keep(self, answer: Answer) -> None:
        """On the disk first; shown as taken only then."""
        station = self.station
        kept = station.sitting.records.keep(self.part, answer, station.conditions)
        self._kept.append(kept)
        station.taken += 1
        station.standing.add(kept.answer)
        station.sitting.show.line(
            f"taken  {self.part.part}  answer {kept.answer}  {answer_figures(answer)}"
        )

    def _void(self, why: str) -> None:
        """Strike out what was kept of this part; it stays visible."""
        if self._kept:
            sitting = self.station.sitting
            sitting.records.strike(self._kept, why)
            self.station.standing -= {each.answer for each in self._kept}
            sitting.show.tell("struck", f"{self.part.part}  {numbered(self._kept)}: {why}")
            self._kept = []

    def _say(self, said: Said) -> None:
        sitting = self.station.sitting
        if said in CALLS:
            sitting.show.bell()
        if said is Said.INTERMITTENT:
            breaks = f"intermittent contact: broke {self.capture.breaks} times"
            sitting.records.event("note", breaks, self.part)
        sitting.show.tell("", f"{self.part.part} {SENTENCES[said]}")

    def _finish(self, answers: list[Answer]) -> None:
        """All readings are on the disk: ring, show the mean, give the verdict so far."""
        station, show = self.station, self.station.sitting.show
        self.complete = True
        station.before = means(answers)
        show.tell("done", f"{self.part.part}  {mean_figures(answers)}")
        for sentence in station.advice.verdict(self.part):
            show.tell("", sentence)
        if self.capture.only_a_press_goes_on:
            show.tell("", f"take {self.part.part} off, then Enter: open clips would read the same")
        # Last, for whoever hears it takes the part off, and that has to be seen.
        show.bell()
        beep = station.check.asking.do(
            station.bridge, lambda: station.bridge.act("beep"), self.part
        )
        if isinstance(beep, Missing):
            self._missed(beep.why)

    def _tell_limits(self) -> None:
        if self._limits_told:
            return
        limits = self.station.advice.limits(self.part)
        if limits is not None:
            self._limits_told = True
            if limits:
                self.station.sitting.show.tell("", limits)
