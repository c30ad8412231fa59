"""The rehearsal bench: every simulated meter, its wire, the parts, and the hand."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from types import TracebackType
from typing import Final

from captriage.bench.rehearsal.bridge import Bridge
from captriage.bench.rehearsal.control import COMMANDS, ControlChannel, Steering
from captriage.bench.rehearsal.conversation import Conversation
from captriage.bench.rehearsal.drawer import demo_drawer
from captriage.bench.rehearsal.faults import Faults
from captriage.bench.rehearsal.hand import Hand
from captriage.bench.rehearsal.hislip import HislipPort
from captriage.bench.rehearsal.instrument import Instrument
from captriage.bench.rehearsal.multimeter import Multimeter, SerialMeter, StreamingMeter
from captriage.bench.rehearsal.natures import Nature, Truth
from captriage.bench.rehearsal.ports import Port, TcpPort
from captriage.bench.rehearsal.probes import AcrossClips, AcrossPart, InJig, OnCase
from captriage.bench.rehearsal.supply import Supply
from captriage.bench.rehearsal.terminals import TerminalPort, has_terminals
from captriage.bench.rehearsal.wiring import Wiring

SETTLING_S: Final = 0.1
SETTLING_SHARE: Final = 0.3
"""How long a part just clipped makes poor contact, but no longer than this of the pause."""


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
    hislip : bool
        Whether the bridge speaks HiSLIP, in place of lines on a bare socket.
    reading_s : float
        How long a meter takes over a reading. [s]
    echo : bool
        Whether the serial meter that is asked sends each question back.
    stream_every_s : float
        How often the streaming meter sends a line. [s]
    reforming : bool
        Whether the bench is laid out for that: the voltmeter across the part in the jig, and a
        thermometer on its case.
    clock : callable
        Seconds that only ever grow.
    tell : callable
        Given a sentence, each time the hand has done something.
    stopped : threading.Event, optional
        See below; one of its own where none is given.

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
        hislip: bool = False,
        reading_s: float = 0.0,
        echo: bool = False,
        stream_every_s: float = 0.2,
        reforming: bool = False,
        clock: Callable[[], float] = time.monotonic,
        tell: Callable[[str], None] = lambda _: None,
        stopped: threading.Event | None = None,
    ) -> None:
        self._seed = seed
        self._clock = clock
        self._reading_s = reading_s
        self.wiring = Wiring(
            demo_drawer() if drawer is None else drawer,
            clock=clock,
            seed=seed,
            settling_s=min(SETTLING_S, SETTLING_SHARE * pause_s),
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
        self.stopped = threading.Event() if stopped is None else stopped
        self._steering = Steering(self)
        self._control: ControlChannel | None = None
        self._add_bridge(dialect, bridge_port, hislip=hislip)
        self._add_multimeters(reforming=reforming)
        self._supply = Supply("supply", self.wiring, seed=seed)
        self._add(self._supply, "supply_scpi")
        if has_terminals():
            self._add_serial(echo=echo, every_s=stream_every_s)

    def _add_bridge(self, dialect: str, port: int, *, hislip: bool) -> None:
        bridge = Bridge("bridge", self.wiring, dialect=dialect, seed=self._seed)
        bridge.on_beep = self.hand.beep
        bridge.on_reading = self.hand.asked
        self._add(bridge, f"lcr_scpi_{dialect}", port=port, hislip=hislip)

    def _add_multimeters(self, *, reforming: bool) -> None:
        across = AcrossPart(self.wiring) if reforming else AcrossClips(self.wiring)
        voltmeter = Multimeter("voltmeter", across, seed=self._seed)
        voltmeter.on_reading = self.hand.asked
        voltmeter.on_shown = self.hand.voltage_shown
        self._add(voltmeter, "multimeter_scpi")
        ammeter = Multimeter("ammeter", InJig(self.wiring), seed=self._seed)
        self._add(ammeter, "multimeter_scpi")
        if reforming:
            probe = Multimeter("thermometer", OnCase(self.wiring), seed=self._seed)
            self._add(probe, "thermometer_scpi")

    def _add(self, meter: Instrument, profile: str, *, port: int = 0, hislip: bool = False) -> None:
        """Wire a meter to a TCP port of its own."""
        conversation = self._conversation(meter, reading_s=self._reading_s)
        kind = HislipPort if hislip else TcpPort
        self.ports[meter.name] = kind(meter, conversation, port=port)
        self.profiles[meter.name] = profile

    def _add_serial(self, *, echo: bool, every_s: float) -> None:
        """Wire the two serial meters to terminals of their own."""
        jig = InJig(self.wiring)
        query = SerialMeter("query", jig, seed=self._seed)
        stream = StreamingMeter("stream", jig, seed=self._seed)
        asked = self._conversation(query, end=b"\r\n", echo=echo, reading_s=self._reading_s)
        unasked = self._conversation(stream, end=b"\r\n", every_s=every_s)
        for meter, conversation, profile in (
            (query, asked, "serial_query_echo" if echo else "serial_query"),
            (stream, unasked, "serial_stream"),
        ):
            self.ports[meter.name] = TerminalPort(meter, conversation)
            self.profiles[meter.name] = profile

    def _conversation(
        self,
        meter: Instrument,
        *,
        end: bytes = b"\n",
        echo: bool = False,
        reading_s: float = 0.0,
        every_s: float = 0.0,
    ) -> Conversation:
        faults = self.faults[meter.name] = Faults(
            meter.name, meter.possible_faults, on_set=meter.fault_set
        )
        return Conversation(
            meter,
            faults,
            clock=self._clock,
            end=end,
            echo=echo,
            reading_s=reading_s,
            every_s=every_s,
        )

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

    commands = COMMANDS
    """What :meth:`command` understands, and what it does."""

    def command(self, line: str) -> str:
        """Steer the rehearsal with one line of :attr:`commands`.

        Raises
        ------
        MeterError
            The line is not understood, or names what is not there.
        """
        return self._steering.obey(line)

    def truth(self, part: str, frequency_hz: float = 120.0, *, soak_s: float = 300.0) -> Truth:
        """What perfect meters would read of a part; see :meth:`Wiring.truth`."""
        return self.wiring.truth(part, frequency_hz, soak_s=soak_s)

    def is_done(self) -> bool:
        """Whether the drawer has gone through the clips, and everybody has left the bridge."""
        return self.hand.has_finished() and not self.ports["bridge"].in_use

    def turn_knob(self, volts: float) -> str:
        """Feed the jig by hand, in place of the supply; with nought, give it back."""
        self._supply.turn_knob(volts)
        if not volts:
            return "the supply feeds the jig"
        return f"the jig is fed by hand with {volts:g} V through {self.wiring.series_ohm:g} Ω"

    def state(self) -> str:
        """One line: what is where, and which faults are on."""
        hand = self.hand
        works = "by itself" if hand.automatic else "by command"
        on = [f"{name} {f.kind}" for name, f in self.faults.items() if f.kind]
        out = [name for name, port in self.ports.items() if not port.plugged]
        return "; ".join(
            [
                f"clips: {self._in(self.wiring.clips)}",
                f"jig: {self._in(self.wiring.jig)}",
                f"hand: {works}, {hand.state}, {hand.done} of {hand.drawer} taken up",
                f"faults: {', '.join(on) or 'none'}",
                f"unplugged: {', '.join(out) or 'none'}",
            ]
        )

    def _in(self, part: str | None) -> str:
        return f"{part} ({self.wiring.voltage(part):.2f} V)" if part else "empty"
