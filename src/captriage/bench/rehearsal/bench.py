"""The rehearsal bench: every simulated meter, its wire, the parts, and the hand."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from types import TracebackType
from typing import Final

from captriage.bench.rehearsal.bridge import Bridge
from captriage.bench.rehearsal.control import ControlChannel, Steering
from captriage.bench.rehearsal.conversation import Conversation
from captriage.bench.rehearsal.drawer import demo_drawer
from captriage.bench.rehearsal.faults import Faults
from captriage.bench.rehearsal.hand import Hand
from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.ports import Port, TcpPort
from captriage.bench.rehearsal.specimens import Nature, Truth
from captriage.bench.rehearsal.wiring import Wiring
from captriage.errors import MeterError

SETTLING_SHARE: Final = 0.3
"""Of the hand's pause: how long a part just clipped makes poor contact."""


class RehearsalBench:
    """Simulated meters on real wires, for as long as the ``with`` block lasts.

    Parameters
    ----------
    drawer : sequence of Nature, optional
        The parts; those of the demonstration where none are given.
    seed : int
        Of all chance: the same seed, the same noise.
    pause_s : float
        Of the hand, between one part and the next. [s]
    automatic : bool
        Whether the hand works by itself from the start.
    dialect : str
        Order of the bridge's reply: a key of :data:`captriage.bench.rehearsal.bridge.DIALECTS`.
    bridge_port : int
        TCP port of the bridge; 0 for any that is free.
    reading_s : float
        How long a meter takes over a reading. [s]
    clock : callable
        Seconds that only ever grow.
    tell : callable
        Given a sentence, each time the hand has done something.

    Attributes
    ----------
    addresses, profiles : dict of str to str
        VISA name and profile of each meter, by its name on the bench.
    control_address : str
        "127.0.0.1:PORT" of the control channel.
    stopped : threading.Event
        Set when someone has said ``stop``.
    """

    def __init__(
        self,
        drawer: Sequence[Nature] | None = None,
        *,
        seed: int = 0,
        pause_s: float = 0.05,
        automatic: bool = True,
        dialect: str = "values_status",
        bridge_port: int = 0,
        reading_s: float = 0.0,
        clock: Callable[[], float] = time.monotonic,
        tell: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._seed = seed
        self._clock = clock
        self._reading_s = reading_s
        self.wiring = Wiring(
            demo_drawer() if drawer is None else drawer,
            clock=clock,
            seed=seed,
            settling_s=SETTLING_SHARE * pause_s,
        )
        self.hand = Hand(
            self.wiring,
            list(self.wiring.specimens),
            clock=clock,
            pause_s=pause_s,
            automatic=automatic,
            tell=tell,
        )
        self.ports: dict[str, Port] = {}
        self.faults: dict[str, Faults] = {}
        self.profiles: dict[str, str] = {}
        self.stopped = threading.Event()
        self._steering = Steering(self)
        self._control: ControlChannel | None = None
        self._add_bridge(dialect, bridge_port)

    def _add_bridge(self, dialect: str, port: int) -> None:
        bridge = Bridge("bridge", self.wiring, dialect=dialect, seed=self._seed)
        bridge.on_beep = self.hand.beep
        bridge.on_reading = self.hand.asked
        self.profiles["bridge"] = f"lcr_scpi_{dialect}"
        self.ports["bridge"] = TcpPort(bridge, self._conversation(bridge), port=port)

    def _conversation(self, meter: Instrument) -> Conversation:
        faults = self.faults[meter.name] = Faults(meter.name, meter.possible_faults)
        return Conversation(meter, faults, clock=self._clock, reading_s=self._reading_s)

    def __enter__(self) -> RehearsalBench:
        """Plug everything in and let the hand begin."""
        self._control = ControlChannel(self.command)
        try:
            for port in self.ports.values():
                port.start()
            self._control.start()
            self.hand.start()
        except BaseException:
            self.close()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close every wire and end every thread."""
        del kind, error, trace
        self.close()

    def close(self) -> None:
        """Close every wire and end every thread; a second time does nothing."""
        self.stopped.set()
        self.hand.stop()
        if self._control:
            self._control.stop()
            self._control = None
        for port in self.ports.values():
            port.stop()

    @property
    def addresses(self) -> dict[str, str]:
        """VISA name of each meter, by its name on the bench."""
        return {name: port.address for name, port in self.ports.items()}

    @property
    def control_address(self) -> str:
        """Where the control channel listens, "127.0.0.1:PORT"; "" while it does not."""
        return self._control.address if self._control else ""

    def command(self, line: str) -> str:
        """Steer the rehearsal with one line of :data:`captriage.bench.rehearsal.control.COMMANDS`.

        Raises
        ------
        MeterError
            The line is not understood, or names what is not there.
        """
        return self._steering.obey(line)

    def truth(self, part: str, frequency_hz: float = 120.0, *, soak_s: float = 300.0) -> Truth:
        """What perfect meters would read of a part; see :meth:`Wiring.truth`."""
        return self.wiring.truth(part, frequency_hz, soak_s=soak_s)

    def turn_knob(self, volts: float) -> str:
        """Feed the jig by hand."""
        raise MeterError(f"knob: {volts:g} V; there is no jig yet")

    def state(self) -> str:
        """One line: what is where, and which faults are on."""
        clips, hand = self.wiring.clips, self.hand
        in_clips = f"{clips} ({self.wiring.voltage(clips):.2f} V)" if clips else "empty"
        works = "by itself" if hand.automatic else "by command"
        on = [f"{name} {f.kind}" for name, f in self.faults.items() if f.kind]
        out = [name for name, port in self.ports.items() if not port.plugged]
        return "; ".join(
            [
                f"clips: {in_clips}",
                f"jig: {self.wiring.jig or 'empty'}",
                f"hand: {works}, {hand.state}, {hand.done} of {hand.drawer} taken up",
                f"faults: {', '.join(on) or 'none'}",
                f"unplugged: {', '.join(out) or 'none'}",
            ]
        )
