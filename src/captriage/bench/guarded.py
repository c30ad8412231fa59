"""A supply behind its guardian, as the run has it; and what the run does where the guardian dies.

See :mod:`captriage.bench.guardian` for why the guardian holds the wire.
"""

from __future__ import annotations

import queue
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from captriage import errors
from captriage.bench.guardian import ANSWER_S, Allowed
from captriage.bench.held_supply import DC_CURRENT, DC_VOLTAGE, HeldSupply
from captriage.bench.pipe import Inbox, Message, listen, say, understood
from captriage.columns import CURRENT, VOLTAGE
from captriage.errors import CapTriageError, Gone

if TYPE_CHECKING:
    from pathlib import Path

    from captriage.bench.measured import Answer, Clock

STARTS_S: Final = 30.0
"""How long a guardian may take to start and to reach the supply. [s]"""

ANSWERS_S: Final = 5.0
"""How long it may take over what it is asked for: a supply that is silent costs a few tries. [s]"""

HEARD_S: Final = 1.5
"""A guardian that says nothing for so long while the output is on is dead, or hangs. [s]"""

FREE_S: Final = 2.0
"""How long the lock of a supply may outlive the guardian that held it. [s]"""


@dataclass(frozen=True, slots=True)
class Address:
    """Where the supply is: what messages call it, its VISA name, profile, PyVISA backend."""

    name: str
    address: str
    profile: str
    backend: str = "@py"


@dataclass(frozen=True, slots=True)
class Off:
    """The output was switched off.

    Attributes
    ----------
    why : str
        In words.
    fault : str
        Why nobody knows whether it is off; "" where the supply says so itself.
    """

    why: str
    fault: str = ""


class GuardedSupply:
    """The supply of a run; every method may raise what the guardian's supply did.

    Parameters
    ----------
    where : Address
        The supply.
    allowed : Allowed
        What the guardian lets happen.
    clock : Clock
        Of the run; its waiting is the real clock's.
    last_words : Path, optional
        File in which the guardian says how the output was left.

    Attributes
    ----------
    volts, amps : Answer or None
        Last seen at its terminals.
    off : Off or None
        Once it was switched off.
    faults : list of str
        What the guardian told of its wire; the caller takes them out.
    """

    def __init__(
        self,
        where: Address,
        allowed: Allowed,
        *,
        clock: Clock,
        last_words: Path | None = None,
    ) -> None:
        self.where, self.allowed, self.name = where, allowed, where.name
        self.volts: Answer | None = None
        self.amps: Answer | None = None
        self.off: Off | None = None
        self.faults: list[str] = []
        self._clock, self._last_words = clock, last_words
        self._process: subprocess.Popen[str] | None = None
        self._listener: threading.Thread | None = None
        self._inbox: Inbox = queue.SimpleQueue()
        self._number = 0
        self._spare: HeldSupply | None = None  # not connected: for the day the guardian is dead
        self._own: HeldSupply | None = None  # the same, from then on
        self._switched = False  # whether it was ever told to go on
        self._fault = ""  # the last that was told
        self._heard_s = 0.0  # when the guardian last said something

    @property
    def guardian_pid(self) -> int | None:
        """Number of the guardian's process; None without one."""
        return None if self._process is None else self._process.pid

    def start(self) -> str:
        """Start the guardian; the identity of the supply.

        Raises
        ------
        ProfileError, Gone, Silent, Garbled, CapTriageError
            The supply cannot be had.
        """
        where, allowed = self.where, self.allowed
        self._spare = HeldSupply.of(
            where.profile,
            where.address,
            name=where.name,
            clock=self._clock,
            backend=where.backend,
            answer_s=ANSWER_S,
        )
        new_session: dict[str, Any] = {"start_new_session": True}
        if sys.platform == "win32":
            new_session = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "captriage.bench.guardian_process"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            **new_session,
        )
        heard = (self._process.stdout, self._inbox)
        self._listener = threading.Thread(target=listen, args=heard, daemon=True)
        self._listener.start()
        self._send(
            profile=where.profile,
            address=where.address,
            name=where.name,
            backend=where.backend,
            highest_v=allowed.highest_v,
            highest_a=allowed.highest_a,
            until_s=allowed.until_s,
            last_words=str(self._last_words or ""),
        )
        try:
            return str(self._answer(0, STARTS_S)["identity"])
        except BaseException:
            self.close()
            raise

    def perform(self, action: str, **settings: float) -> Mapping[str, float]:
        """Do an action; what the supply says it now is.

        Raises
        ------
        ProfileError, Gone, Silent, Garbled, Unset, CapTriageError
            It was not done, or nobody knows.
        """
        self._switched = self._switched or action == "on"
        told = self._ask(do="perform", action=action, settings=settings)
        return {str(name): float(value) for name, value in told.items()}

    def beat(self) -> None:
        """Say that the run is alive, and hear what the guardian has to say."""
        if self._own is not None:
            return
        self._send(do="beat")
        self.hear()
        silent_s = time.monotonic() - self._heard_s
        if self._switched and self.off is None and silent_s > HEARD_S:
            self._take_over(f"its guardian says nothing for {silent_s:.1f} s")

    def hear(self) -> None:
        """Take in what the guardian has said by now; where it is dead, switch off."""
        while True:
            try:
                message = self._inbox.get_nowait()
            except queue.Empty:
                return
            if message is None:
                self._take_over("its guardian has died")
                return
            self._heard_s = time.monotonic()
            self._take(message)

    def switch_off(self, why: str) -> Off:
        """Switch off, and say whether the supply says so; twice does no harm."""
        if self._own is None:
            try:
                self._ask(do="off", why=why)
            except CapTriageError as error:
                if self._own is None:
                    self._take_over(f"{why}; {error}")
        elif self.off is None or self.off.fault:
            self._off_by_itself(why)
        self.off = self.off or Off(why)
        return self.off

    def retry(self) -> None:
        """Where the guardian is dead and the output not known to be off: one more attempt."""
        if self._own is not None and (self.off is None or self.off.fault):
            self.off = Off(self.off.why if self.off else "", self._own.off())

    def close(self) -> None:
        """Have the guardian end, which switches off where that was not done; never raises."""
        self._send(do="end")
        process, listener = self._process, self._listener
        if process is not None and process.stdin is not None and process.stdout is not None:
            with suppress(OSError):
                process.stdin.close()
            with suppress(subprocess.TimeoutExpired):  # it goes on until the output is off
                process.wait(ANSWERS_S)
                if listener is not None:
                    listener.join()
                process.stdout.close()
        if self._own is not None:
            self._own.close()

    # Through the pipe

    def _send(self, **message: Any) -> None:  # noqa: ANN401 - of JSON
        if self._process is not None and self._process.stdin is not None:
            say(self._process.stdin, message)

    def _ask(self, **message: Any) -> Message:  # noqa: ANN401 - of JSON
        if self._own is not None:
            raise Gone(f"{self.name}: its guardian has died; switch off and begin again")
        self._number += 1
        self._send(number=self._number, **message)
        return self._answer(self._number, ANSWERS_S)

    def _answer(self, number: int, seconds: float) -> Message:
        """The answer to a question; whatever else comes is taken in.

        Raises
        ------
        CapTriageError
            What the guardian met with.
        """
        while True:
            try:
                message = self._inbox.get(timeout=seconds)
            except queue.Empty:
                self._take_over(f"its guardian does not answer within {seconds:g} s")
                raise Gone(
                    f"{self.name}: its guardian does not answer within {seconds:g} s; begin again"
                ) from None
            if message is None:
                self._take_over("its guardian has died")
                raise Gone(f"{self.name}: its guardian has died; begin again")
            self._heard_s = time.monotonic()
            if message.get("number") != number:
                self._take(message)
            elif message["said"] == "done":
                return dict(message["told"])
            else:
                raise getattr(errors, message["kind"], CapTriageError)(message["text"])

    def _take(self, message: Message) -> None:
        match message["said"]:
            case "seen":
                self.volts = understood(message[DC_VOLTAGE], VOLTAGE)
                self.amps = understood(message[DC_CURRENT], CURRENT)
            case "fault" if message["text"] != self._fault:
                self._fault = message["text"]
                self.faults.append(self._fault)
            case "off":
                self.off = Off(message["why"], message["fault"])

    # Without a guardian

    def _take_over(self, why: str) -> None:
        """Connect by itself and switch off: nobody else is left to do so."""
        process = self._process
        if process is not None:
            process.kill()  # it may hang, and hold the wire
            with suppress(subprocess.TimeoutExpired):
                process.wait(FREE_S)
        self._own = self._spare  # made before there was power: nothing is read from disk now
        self.faults.append(why)
        self._off_by_itself(why)

    def _off_by_itself(self, why: str) -> None:
        own = self._own
        assert own is not None
        until = time.monotonic() + FREE_S
        while not own.connect() and time.monotonic() < until:
            time.sleep(0.05)
        self.off = Off(self.off.why if self.off else why, own.off() if self._switched else "")
