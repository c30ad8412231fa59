"""What is connected to what: the clips of the bridge, the leakage jig, the drawer."""

from __future__ import annotations

import random
import threading
from collections.abc import Callable, Sequence
from typing import Final

from captriage.bench.rehearsal.circuit import NOTHING, Drive
from captriage.bench.rehearsal.natures import Nature, Truth
from captriage.bench.rehearsal.specimens import Specimen
from captriage.errors import MeterError

VOLTMETER_RESISTANCE: Final = 10e6  # Ω, across the clips
SERIES_RESISTANCE: Final = 1e3  # Ω, between the supply and the part in the jig, at first
DISCHARGE_RESISTANCE: Final = 100.0  # Ω, on two probes
STRAY_CAPACITANCE: Final = 2e-12  # F, of clips with nothing in them

DRIFT_STEP_S: Final = 0.01
POOR_SHARE: Final = 0.5
"""Of the readings of a bridge that find no contact, while a part settles in the clips."""

CLIPS: Final = Drive(0.0, VOLTMETER_RESISTANCE)
DISCHARGE: Final = Drive(0.0, DISCHARGE_RESISTANCE)


class Wiring:
    """Specimens and where each of them is, moved on in time whenever someone looks.

    Every method may be called from any thread.

    Parameters
    ----------
    natures : sequence of Nature
        The drawer, in its order.
    clock : callable
        Seconds that only ever grow.
    seed : int
        Of contacts that come and go.
    settling_s : float
        How long a part just put into the clips makes poor contact.
    temperature_degc : float
        Of the room.
    """

    def __init__(
        self,
        natures: Sequence[Nature],
        *,
        clock: Callable[[], float],
        seed: int = 0,
        settling_s: float = 0.0,
        temperature_degc: float = 20.0,
    ) -> None:
        now = clock()
        self.lock = threading.RLock()
        self.clock = clock
        self.temperature_degc = temperature_degc
        self.specimens = {
            nature.part: Specimen(nature, time_s=now, seed=seed) for nature in natures
        }
        self.clips: str | None = None
        self.jig: str | None = None
        self.clipped_at_s = now
        self.settling_s = settling_s
        self._chance = random.Random(f"{seed}/contact")  # noqa: S311
        self._source: Callable[[float], Drive] = lambda _: NOTHING
        self.source_drifts = False  # by itself, between two changes
        self._probed: str | None = None  # being discharged
        self._jig_drive = NOTHING
        self.series_ohm = SERIES_RESISTANCE
        self.has_slipped = False  # the clip of the jig, off the part that is still in it
        self.on_jig_changed: Callable[[], None] = lambda: None

    def feed_jig_from(self, source: Callable[[float], Drive]) -> None:
        """Wire the jig to a source, given the time; asked again by :meth:`source_changed`."""
        self._source = source
        self.source_changed()

    def source_changed(self) -> None:
        """Take note that the source of the jig is now another than a moment ago."""
        with self.lock:
            self._catch_up(self.jig)
            self._jig_drive = self._source(self.clock())

    def named(self, part: str) -> Specimen:
        """The specimen of this name.

        Raises
        ------
        MeterError
            The drawer has none.
        """
        found = self.specimens.get(part)
        if found is None:
            held = ", ".join(self.specimens)
            raise MeterError(f"drawer: there is no part {part!r}; there are {held}")
        return found

    def clip(self, part: str | None) -> None:
        """Put a part into the clips, or take off what is in them."""
        with self.lock:
            if part is not None:
                self.named(part)
                if part == self.jig:
                    self.put_in_jig(None)
            self._catch_up(self.clips)
            self._catch_up(part)
            self.clips = part
            self.clipped_at_s = self.clock()

    def put_in_jig(self, part: str | None) -> None:
        """Put a part into the leakage jig, or take off what is in it."""
        with self.lock:
            if part is not None:
                self.named(part)
                if part == self.clips:
                    self.clip(None)
            self._catch_up(self.jig)
            self._catch_up(part)
            self.jig, self.has_slipped = part, False
            self.on_jig_changed()

    def slip(self, *, off: bool) -> None:
        """Let the clip of the jig slip off the part in it, or hold again."""
        with self.lock:
            self._catch_up(self.jig)
            self.has_slipped = off
            self.on_jig_changed()

    def fit_resistor(self, ohm: float) -> None:
        """Put another resistor between the supply and the jig."""
        with self.lock:
            self.series_ohm = ohm
            self.source_changed()

    def probe(self, part: str | None) -> None:
        """Hold the discharge resistor across a part, or let go of it."""
        with self.lock:
            if part is not None:
                self.named(part)
            self._catch_up(self._probed)
            self._catch_up(part)
            self._probed = part

    def voltage(self, part: str | None) -> float:
        """Across this part now; 0 where there is none. [V]"""
        with self.lock:
            if part is None:
                return 0.0
            self._catch_up(part)
            return self.specimens[part].voltage

    def jig_source(self) -> Drive:
        """What feeds the jig now."""
        with self.lock:
            return self._jig_drive

    def jig_current(self) -> float:
        """Through the jig's resistor into the part in it, now. [A]"""
        with self.lock:
            if self.jig is None or self.has_slipped:
                return 0.0
            if not self.specimens[self.jig].connected(self.clock()):
                return 0.0
            part_v = self.voltage(self.jig)
            return self._jig_drive.current(part_v)

    def jig_voltage(self) -> float:
        """Between the jig's terminals: of the part in it, or where it has slipped of the source."""
        with self.lock:
            if self.jig is None or self.has_slipped:
                return self._jig_drive.voltage_v
            return self.voltage(self.jig)

    def temperature_of_jig(self) -> float:
        """Of the case of the part in the jig, of the room where there is none. [°C]"""
        with self.lock:
            if self.jig is None:
                return self.temperature_degc
            self._catch_up(self.jig)
            return self.temperature_degc + self.specimens[self.jig].temperature_rise

    def jig_is_limited(self) -> bool:
        """Whether the source of the jig gives its current limit now."""
        with self.lock:
            if self.jig is None or self.has_slipped:
                return False
            part_v = self.voltage(self.jig)
            return part_v < self._jig_drive.limit_ends_at_v

    def clipped(self) -> Specimen | None:
        """What is in the clips and makes contact inside; poor contact of the clips included.

        A voltmeter sees through a few kilohms there; a bridge does not.
        """
        with self.lock:
            if self.clips is None:
                return None
            specimen = self.specimens[self.clips]
            return specimen if specimen.connected(self.clock()) else None

    def firmly_clipped(self) -> Specimen | None:
        """What a bridge finds in the clips: nothing, now and then, while contact settles."""
        with self.lock:
            settling = self.clock() - self.clipped_at_s < self.settling_s
            if settling and self._chance.random() < POOR_SHARE:
                return None
            return self.clipped()

    def truth(self, part: str, frequency_hz: float = 120.0, *, soak_s: float = 300.0) -> Truth:
        """What perfect meters would read of a part.

        Raises
        ------
        MeterError
            The drawer has none of that name.
        """
        with self.lock:
            specimen = self.named(part)
            self._catch_up(part)
            return specimen.truth(frequency_hz, soak_s=soak_s)

    def _drive(self, part: str) -> Drive:
        if part == self._probed:
            return DISCHARGE
        if part == self.clips:
            return CLIPS
        return self._jig_drive if part == self.jig and not self.has_slipped else NOTHING

    def _catch_up(self, part: str | None) -> None:
        if part is None:
            return
        now, specimen = self.clock(), self.specimens[part]
        while self.source_drifts and part == self.jig and specimen.time_s + DRIFT_STEP_S < now:
            self._advance(specimen, specimen.time_s + DRIFT_STEP_S)
            self._jig_drive = self._source(specimen.time_s)
        self._advance(specimen, now)
        if self.source_drifts and part == self.jig:
            self._jig_drive = self._source(now)

    def _advance(self, specimen: Specimen, to_s: float) -> None:
        drive = self._drive(specimen.nature.part)
        specimen.advance(to_s, drive, temperature_degc=self.temperature_degc)
