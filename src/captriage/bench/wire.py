"""One guarded connection to one meter: one question, one answer, or one of three errors.

How a late answer is kept from being taken for the next question's: :mod:`captriage.bench.step`.
"""

from __future__ import annotations

import time
from contextlib import suppress
from typing import TYPE_CHECKING, Final

from captriage.bench import owner
from captriage.bench.connecting import connect
from captriage.bench.guard import Guard
from captriage.bench.lines import Lines
from captriage.bench.pattern_text import matches
from captriage.bench.step import Step
from captriage.errors import Garbled, Gone, ProfileError, Silent

if TYPE_CHECKING:
    from captriage.bench.measured import Clock
    from captriage.bench.profile import Transport

ASKED_AT_MOST: Final = 4  # times: an identity that keeps changing is none
DEAD: Final = (OSError, ValueError, RuntimeError, EOFError, AttributeError)  # as it is closed
STALE_S: Final = 0.5  # a stream not read for so long holds lines of unknown age


class Wire:
    """A meter's connection. All methods may be called from several threads.

    Parameters
    ----------
    address : str
        VISA name.
    transport : Transport
        Line ends, time allowed, echo ... from the meter's profile.
    clock : Clock
        Paces the messages; deadlines are the real clock's, for real wires wait in real time.
    backend : str
        PyVISA backend; the pure-Python one unless said.
    name : str
        How messages call the meter; its address where not given.
    """

    def __init__(
        self,
        address: str,
        transport: Transport,
        *,
        clock: Clock,
        backend: str = "@py",
        name: str = "",
    ) -> None:
        self.address = address
        self.transport = transport
        self._where = f"{name} ({address})" if name else address
        self._clock = clock
        self._backend = backend
        self._guard = Guard(self._where, address, drop=self._drop)
        self._owner: owner.Owner | None = None
        self._lines: Lines | None = None
        self._dirty = False  # an answer may be outstanding, or something unasked came
        self._step = Step(self._where, transport)
        self._used = False  # something has been sent since this object was made
        self._sent_at = self._read_at = float("-inf")

    @property
    def thrown_away(self) -> int:
        """Lines that came late or unasked, and were not believed."""
        return self._step.thrown_away

    @property
    def identity(self) -> str:
        """What it answered when it was asked who it is; "" as long as it was not."""
        return self._step.identity

    @property
    def is_open(self) -> bool:
        """Whether there is a connection; it may have died since it was last used."""
        return self._lines is not None

    def open(self) -> None:
        """Become the meter's owner and connect; where that was done before, connect anew.

        Raises
        ------
        Gone
            It is in use, or cannot be connected to.
        """
        with self._guard:
            if self._owner is None:
                self._owner = owner.take(self.address, where=self._where)
                self._used = False
            try:
                self._connect()
            finally:
                if not self._lines and not self._used:
                    self._release()
            if self._used and self._live().channel.kind == "serial" and self.transport.asks:
                self._step.until_quiet(self._live())

    def close(self) -> None:
        """Disconnect and let others have the meter. Never raises."""
        with self._guard:
            self._drop()
            self._release()

    def tell(self, text: str) -> None:
        """Send a command that has no answer.

        Raises
        ------
        Silent
            It does not take what is sent, or does not echo it.
        Gone
            The connection is dead.
        Garbled
            Its echo is another text.
        """
        with self._guard:
            self._notice()
            if self.transport.echo:
                self._mend()
                self._dirty = True
                self._live().next_is_echo(self._send(text), text)
                self._dirty = bool(self._live().left_over())
            else:
                self._send(text)

    def ask(self, text: str) -> str:
        """Answer to a question: exactly one line, without its end.

        Raises
        ------
        Silent
            Nothing came within ``timeout_s``.
        Gone
            The connection is dead, or the meter cannot be brought back into step.
        Garbled
            What came is not one line of ASCII text, or is the question itself.
        """
        with self._guard:
            self._notice()
            self._mend()
            self._dirty = True  # from here on an answer is outstanding, whatever interrupts
            until = self._send(text)
            lines = self._live()
            if self.transport.echo:
                lines.next_is_echo(until, text)
            line = lines.next(until, text)
            while line == self._step.identity and text != self._step.question:
                self._step.throw_away(line)
                line = lines.next(until, text)
            lines.check_answer(line, text)
            lines.forget()
            self._dirty = False
            return line

    def identify(self, question: str, pattern: str) -> str:
        """Who answers; asked until the same comes twice running, for the first may be a late one.

        From then on the wire brings itself into step by this question.

        Raises
        ------
        Gone
            The identity does not match the pattern.
        Silent, Garbled
            As :meth:`ask`, or its answers keep changing.
        """
        seen = [self.ask(question), self.ask(question)]
        while seen[-1] != seen[-2]:
            if len(seen) == ASKED_AT_MOST:
                raise Garbled(
                    f"{self._where}: its answers to {question!r} change: {seen[-2]!r}, then "
                    f"{seen[-1]!r}; ask for something that does not in its profile"
                )
            seen.append(self.ask(question))
        identity = seen[-1]
        self._step.question, self._step.identity = question, identity
        if not matches(pattern, identity):
            raise Gone(
                f"{self._where}: {identity!r} answers there, and the profile is for {pattern!r}; "
                "choose another profile or address"
            )
        with self._guard:
            self._step.owed = len(seen) - seen.count(identity)
            self._step.until_identified(self._live(), heard=True)
        return identity

    def resume(self) -> None:
        """See that the meter of before answers, and that nothing else is owed.

        Raises
        ------
        Gone
            Another meter answers, or none.
        """
        with self._guard:
            self._dirty = True
            self._mend()

    def next_line(self) -> str:
        """Next line of a meter that sends unasked, without its end.

        At the start and after a pause, what has piled up and the line that may have been cut
        are thrown away: a line is no older than its receipt.

        Raises
        ------
        Silent
            No line came within ``timeout_s``.
        Gone
            The connection is dead.
        Garbled
            The line is not ASCII text, or has no end.
        """
        with self._guard:
            lines = self._live()
            now = time.monotonic()
            until = now + self.transport.timeout_s
            if not lines.at_start or now - self._read_at > STALE_S:
                lines.drain()
            try:
                if not lines.at_start:
                    lines.skip_to_start(until)
                return lines.next(until)
            finally:
                self._read_at = time.monotonic()

    def drain(self) -> None:
        """Throw away what has come and was not read; :class:`Gone` on a dead connection."""
        with self._guard:
            self._live().drain()
            self._read_at = time.monotonic()

    # What follows is called with the guard held.

    def _live(self) -> Lines:
        if self._lines is None:
            raise Gone(f"{self._where}: not connected; open it again")
        return self._lines

    def _connect(self) -> None:
        self._drop()
        channel = connect(self._where, self.address, self.transport, backend=self._backend)
        self._lines = Lines(self._where, channel, self.transport)
        if channel.kind != "serial":
            self._step.owed = 0  # a new connection carries no old answers
        self._dirty = False

    def _drop(self) -> None:
        lines, self._lines = self._lines, None
        if lines is not None:
            with suppress(*DEAD):
                lines.channel.close()

    def _release(self) -> None:
        if self._owner is not None:
            self._owner.release()
            self._owner = None

    def _send(self, text: str) -> float:
        """Send, no sooner than the meter allows; until when the answer may come."""
        if not text.isascii() or not text.isprintable() or not text.strip():
            raise ProfileError(
                f"{self._where}: command {text!r}; a command is one line of ASCII text"
            )
        if self.transport.pause_s:
            self._clock.sleep(self._sent_at + self.transport.pause_s - self._clock.monotonic())
            self._sent_at = self._clock.monotonic()
        until = time.monotonic() + self.transport.timeout_s
        self._used = True
        data = (text + self.transport.write_end).encode("ascii")
        if not self._live().channel.send(data, self.transport.timeout_s):
            self._dirty = True
            raise Silent(
                f"{self._where}: does not take {text!r} within {self.transport.timeout_s:g} s; "
                "check its flow control and cable"
            )
        return until

    def _notice(self) -> None:
        """See at once that a connection was closed, and that something came unasked."""
        lines = self._live()
        if lines.waiting():
            self._dirty = self._dirty or bool(lines.left_over())

    def _mend(self) -> None:
        """Bring the meter back into step, where it may be out of it."""
        if not self._dirty:
            return
        lines = self._live()
        if lines.channel.kind == "bus":
            lines.channel.clear()
            lines.forget()
        if self._step.identity:
            self._step.owed += 1
            self._send(self._step.question)
            self._step.until_identified(lines)
        elif lines.channel.kind == "serial":
            self._step.until_quiet(lines)
        elif lines.channel.kind == "network":
            self._connect()
        self._dirty = False
