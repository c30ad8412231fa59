"""The commands that steer a rehearsal, typed in its terminal or sent over loopback TCP."""

from __future__ import annotations

import math
import socket
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from captriage.bench.rehearsal.faults import parse_fault
from captriage.bench.rehearsal.hand import EMPTY_V
from captriage.bench.rehearsal.ports import LOOPBACK, Port
from captriage.errors import MeterError

if TYPE_CHECKING:
    from captriage.bench.rehearsal.bench import RehearsalBench

COMMANDS: Final = {
    "clip PART": "put it into the clips; the hand goes on after it",
    "off": "take off what is in the clips",
    "next": "take off what is in the clips and put in the next part",
    "jig PART|off": "put it into the leakage jig, or empty the jig",
    "slip on|off": "let the jig lose its part, or hold it again",
    "resistor OHMS": "put another one between supply and jig",
    "knob VOLTS": "feed the jig by hand; 0 gives it back to the supply",
    "discharge PART": "hold 100 Ω across this part until it is empty",
    "automatic on|off": "let the hand work by itself, or by command only",
    "fault METER": "say which faults this meter can have",
    "fault METER KIND|none": "switch one on or off: 'fault bridge late 3 once'",
    "unplug METER": "pull its plug",
    "replug METER": "plug it in again",
    "state": "say what is where",
    "help": "this list",
    "stop": "end the rehearsal",
}

DISCHARGE_WITHIN_S: Final = 30.0
DISCHARGE_LOOK_S: Final = 0.01
LONGEST_LINE: Final = 1000
MOST_CALLERS: Final = 16


class Steering:
    """What each command does to a bench."""

    def __init__(self, bench: RehearsalBench) -> None:
        self._bench = bench
        self._does: Mapping[str, Callable[[list[str]], str]] = {
            "clip": self._clip,
            "off": self._off,
            "next": self._next,
            "jig": self._jig,
            "slip": self._slip,
            "resistor": self._resistor,
            "knob": self._knob,
            "discharge": self._discharge,
            "automatic": self._automatic,
            "fault": self._fault,
            "unplug": self._unplug,
            "replug": self._replug,
            "state": self._state,
            "help": lambda _: "; ".join(COMMANDS),
            "stop": self._stop,
        }

    def obey(self, line: str) -> str:
        """Do what a line says; what is to be said of it.

        Raises
        ------
        MeterError
            It is not understood, or names what is not there.
        """
        words = line.split()
        if not words:
            return ""
        does = self._does.get(words[0].lower())
        if does is None:
            raise MeterError(f"rehearsal: {words[0]!r} is no command; {', '.join(self._does)}")
        return does(words[1:])

    def _clip(self, words: list[str]) -> str:
        part = _one(words, "clip", "the name of a part")
        self._bench.hand.clip(part)
        return f"{part} is in the clips"

    def _off(self, _: list[str]) -> str:
        self._bench.hand.clip(None)
        return "the clips are empty"

    def _next(self, _: list[str]) -> str:
        part = self._bench.hand.take_next()
        return f"{part} is in the clips" if part else "the drawer is done"

    def _jig(self, words: list[str]) -> str:
        part = _one(words, "jig", "the name of a part, or off")
        self._bench.wiring.put_in_jig(None if part == "off" else part)
        return "the jig is empty" if part == "off" else f"{part} is in the jig"

    def _slip(self, words: list[str]) -> str:
        off = _on_or_off(_one(words, "slip", "on or off"), "slip")
        self._bench.wiring.slip(off=off)
        return "the clip of the jig has slipped off" if off else "the clip of the jig holds"

    def _resistor(self, words: list[str]) -> str:
        ohm = _within(_one(words, "resistor", "ohms"), "resistor", "ohms", (1.0, 1e7))
        self._bench.wiring.fit_resistor(ohm)
        return f"{ohm:g} Ω lie between supply and jig"

    def _knob(self, words: list[str]) -> str:
        told = _one(words, "knob", "volts")
        return self._bench.turn_knob(_within(told, "knob", "volts", (0.0, 500.0)))

    def _discharge(self, words: list[str]) -> str:
        part = _one(words, "discharge", "the name of a part")
        wiring = self._bench.wiring
        wiring.probe(part)
        until = time.monotonic() + DISCHARGE_WITHIN_S
        try:
            while abs(wiring.voltage(part)) > EMPTY_V and time.monotonic() < until:
                time.sleep(DISCHARGE_LOOK_S)
        finally:
            wiring.probe(None)
        return f"{part} holds {wiring.voltage(part):.2f} V"

    def _automatic(self, words: list[str]) -> str:
        on = _on_or_off(_one(words, "automatic", "on or off"), "automatic")
        self._bench.hand.set_automatic(on)
        return f"the hand works {'by itself' if on else 'by command'}"

    def _fault(self, words: list[str]) -> str:
        name = words[0] if words else ""
        port = self._port(name)
        if len(words) == 1:
            return self._bench.faults[name].explained
        fault, seed = parse_fault(words[1:])
        self._bench.faults[name].set(fault, seed=seed)
        return f"{port.instrument.name}: {fault.kind if fault else 'no fault'}"

    def _unplug(self, words: list[str]) -> str:
        port = self._port(_one(words, "unplug", "the name of a meter"))
        port.unplug()
        return f"{port.instrument.name} is unplugged"

    def _replug(self, words: list[str]) -> str:
        port = self._port(_one(words, "replug", "the name of a meter"))
        port.replug()
        return f"{port.instrument.name} is plugged in"

    def _state(self, _: list[str]) -> str:
        return self._bench.state()

    def _stop(self, _: list[str]) -> str:
        self._bench.stopped.set()
        return "stopping"

    def _port(self, name: str) -> Port:
        found = self._bench.ports.get(name)
        if found is None:
            raise MeterError(f"rehearsal: no meter {name!r}; {', '.join(self._bench.ports)}")
        return found


def _one(words: list[str], command: str, needed: str) -> str:
    """The single word that a command takes."""
    if len(words) != 1:
        raise MeterError(f"{command}: {' '.join(words) or 'nothing'} follows; it takes {needed}")
    return words[0]


def _on_or_off(told: str, command: str) -> bool:
    if told not in ("on", "off"):
        raise MeterError(f"{command}: {told!r}; on or off")
    return told == "on"


def _within(text: str, command: str, unit: str, bounds: tuple[float, float]) -> float:
    """The number that was typed, if it lies in these bounds."""
    low, high = bounds
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        raise MeterError(f"{command}: {text!r}; {unit} from {low:g} to {high:g}")
    return value


class ControlChannel:
    """Commands over loopback TCP, a line each, a line back; several callers at a time.

    One that says nothing keeps nobody waiting; of too many, the first that called is hung up on.
    """

    def __init__(self, obey: Callable[[str], str]) -> None:
        self._obey = obey
        self._listener = socket.create_server((LOOPBACK, 0))
        self.address = f"{LOOPBACK}:{self._listener.getsockname()[1]}"
        self._calls: dict[socket.socket, threading.Thread] = {}
        self._lock = threading.Lock()
        self._stopping = False
        self._thread = threading.Thread(target=self._run, name="rehearsal control", daemon=True)

    def start(self) -> None:
        """Listen."""
        self._thread.start()

    def stop(self) -> None:
        """Hang up and end the threads."""
        self._stopping = True
        if self._thread.is_alive():
            # A call of our own wakes the thread where it waits for one.
            with socket.create_connection(self._listener.getsockname()):
                self._thread.join()
        self._listener.close()
        with self._lock:
            calls = dict(self._calls)
            for caller in calls:
                _hang_up(caller)
        for thread in calls.values():
            thread.join()

    def _run(self) -> None:
        while True:
            caller, _ = self._listener.accept()
            if self._stopping:
                caller.close()
                return
            thread = threading.Thread(
                target=self._serve, args=(caller,), name="rehearsal caller", daemon=True
            )
            with self._lock:
                if len(self._calls) >= MOST_CALLERS:
                    _hang_up(next(iter(self._calls)))
                self._calls[caller] = thread
            thread.start()

    def _serve(self, caller: socket.socket) -> None:
        try:
            self._talk(caller)
        except OSError:  # the caller has gone
            pass
        finally:
            with self._lock:  # so that nobody hangs up on what is closed
                del self._calls[caller]
                caller.close()

    def _talk(self, caller: socket.socket) -> None:
        with caller.makefile("rb") as lines:
            while line := lines.readline(LONGEST_LINE):
                if len(line) == LONGEST_LINE and not line.endswith(b"\n"):
                    caller.sendall(b"refused: the line is too long; see 'help'\n")
                    return
                try:
                    answer = self._obey(line.decode("utf-8", "replace"))
                except MeterError as error:
                    answer = f"refused: {error}"
                caller.sendall(answer.encode() + b"\n")


def _hang_up(caller: socket.socket) -> None:
    with suppress(OSError):  # it has hung up itself
        caller.shutdown(socket.SHUT_RDWR)
