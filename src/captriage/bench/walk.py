"""Part by part through a drawer: clip on, hear the bell, take off, next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from captriage.bench.manner import NO_PART
from captriage.bench.one_part import OnePart, Station, Way
from captriage.bench.remarks import HELP, remark
from captriage.bench.sitting import ENTER, Ended, Kept, Part, PassedOver
from captriage.bench.telling import numbered, rating
from captriage.bench.typist import INSTEAD


@dataclass
class Summary:
    """What came of a walk, as far as it went."""

    taken: int = 0  # answers
    struck: int = 0  # of them, since
    done: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    ended: str = ""  # why it ended early; "" where the list was walked to its end


class Walk:
    """A list of parts at a station.

    Parameters
    ----------
    station : Station
        The bench: bridge open, and set up for what is to be measured.
    parts : sequence of Part
        In the order of the list.
    done : frozenset of int
        Numbers of the parts that are passed over, because they are done already.
    resumed : bool
        Whether readings of the others come from a run that was cut short: they are struck out
        before new ones are taken, so that nothing from before is mixed with what comes after.
        The clips have to be seen open first, or a key pressed: the part that they held when
        that run ended may be another than the next.
    """

    def __init__(
        self,
        station: Station,
        parts: Sequence[Part],
        *,
        done: frozenset[int] = frozenset(),
        resumed: bool = False,
    ) -> None:
        self.station, self.parts = station, parts
        self.summary = Summary()
        self._finished = set(done)
        self._resumed = resumed
        station.occupied = resumed  # what the run before left in the clips, nobody knows
        self._began_s = station.sitting.clock.monotonic()

    def run(self) -> Summary:
        """Walk the list to its end, or until the person ends it.

        Raises
        ------
        BookError
            Something could not be kept; :attr:`summary` says what was.
        """
        show = self.station.sitting.show
        show.tell("keys", INSTEAD if self.station.typed else HELP)
        try:
            self._walk()
        except Ended as why:
            self.summary.ended = str(why)
        finally:
            self.summary.taken = self.station.taken
            self.summary.struck = self.station.taken - len(self.station.standing)
            self.summary.left = [p.part for p in self.parts if p.id not in self._finished]
            if not self.summary.left:
                self.summary.ended = ""  # all that was still to do is to take the last one off
        return self.summary

    def _walk(self) -> None:
        place, came_back = 0, False
        while place < len(self.parts):
            part = self.parts[place]
            if part.id not in self._finished or came_back:
                self._heading(place)
                came_back = self._visit(part, came_back=came_back) is Way.BACK
                if came_back:
                    place = max(0, place - 1)
                    continue
                self._finished.add(part.id)
            place += 1

    def _visit(self, part: Part, *, came_back: bool) -> Way:
        one = OnePart(self.station, part)
        try:
            way = self._revisit(part) if came_back else None
            if way is None:
                self._clear(part)
                way = one.run()
        except PassedOver:
            way = Way.NEXT
            if not one.complete:
                one.give_up("passed over before all readings were taken")
                self._passed_over(part)
        except Ended:
            one.give_up("ended before all readings were taken")
            raise
        finally:
            if one.complete:
                self._done(part)
        return way

    def _done(self, part: Part) -> None:
        """It has all its readings, whatever comes of taking it off."""
        self._finished.add(part.id)
        if part.part not in self.summary.done:
            self.summary.done.append(part.part)
        if part.part in self.summary.skipped:
            self.summary.skipped.remove(part.part)

    def _undone(self, part: Part) -> None:
        """Its readings are struck out: it is to be read anew."""
        self._finished.discard(part.id)
        if part.part in self.summary.done:
            self.summary.done.remove(part.part)

    def _clear(self, part: Part) -> None:
        """Strike out what a run that was cut short has left of a part."""
        if self._resumed and part.id not in self._finished:
            kept = self.station.sitting.records.kept_of(part)
            if kept:
                why = "an earlier run ended before all readings were taken"
                self._strike(part, kept, why)

    def _revisit(self, part: Part) -> Way | None:
        """What to do with a part that was come back to; None: measure it."""
        records, show = self.station.sitting.records, self.station.sitting.show
        kept = records.kept_of(part)
        if not kept:
            return None
        show.tell(
            "ask",
            f"{part.part} has {numbered(kept)}: r strikes out what is there and takes it anew, "
            "Enter leaves it",
        )
        while True:
            key = self.station.sitting.keys.next()
            if key is None:
                raise Ended("no key comes any more")
            if key == "r":
                self._strike(part, kept, "redone")
                self._undone(part)
                self.station.before = NO_PART  # it may well be this very part
                return None
            if key in (ENTER, "s"):
                return Way.NEXT
            if key == "b":
                return Way.BACK
            remark(self.station.sitting, part, key)

    def _strike(self, part: Part, kept: Sequence[Kept], why: str) -> None:
        sitting = self.station.sitting
        sitting.records.strike(kept, why)
        self.station.standing -= {each.answer for each in kept}
        sitting.show.tell("struck", f"{part.part}  {numbered(kept)}: {why}")

    def _passed_over(self, part: Part) -> None:
        self.station.sitting.records.event("skipped", "passed over by the person", part)
        self.station.sitting.show.tell("skip", part.part)
        if part.part not in self.summary.skipped:
            self.summary.skipped.append(part.part)

    def _heading(self, place: int) -> None:
        part, show = self.parts[place], self.station.sitting.show
        show.line()
        where = f"{place + 1} of {len(self.parts)}{self._time_left(place)}"
        show.tell("part", f"{part.part}  {rating(part)}  ({where})")

    def _time_left(self, place: int) -> str:
        """By the pace so far."""
        done = len(self.summary.done)
        if not done:
            return ""
        each = (self.station.sitting.clock.monotonic() - self._began_s) / done
        left = sum(part.id not in self._finished for part in self.parts[place:])
        return f", about {max(1, round(each * left / 60))} min left"
