"""Lines of text out of the bytes of a connection, none of them late, endless or foreign."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Final

from captriage.errors import Garbled, Silent

if TYPE_CHECKING:
    from captriage.bench.channel import Channel
    from captriage.bench.profile import Transport

LONGEST: Final = 4096  # bytes of one answer
SEE_TRY: Final = "; 'captriage meters try' looks for the cause"
BACKLOG: Final = 1_000_000  # bytes: the most that is drained at once

ENCODINGS: Final = (("utf-8", "µμΩΩ°℃"), ("latin-1", "µ°"))
"""How meters send the signs of units, and which: no other sign beyond ASCII is believed."""


class Lines:
    """What comes over one connection, line by line.

    Parameters
    ----------
    where : str
        How messages call the meter.
    channel : Channel
        The connection, open.
    transport : Transport
        Line ends and time allowed.
    """

    def __init__(self, where: str, channel: Channel, transport: Transport) -> None:
        self.channel = channel
        self.at_start = False
        """Whether it is sure that the next byte begins a line."""
        self._where = where
        self._transport = transport
        self._end = transport.read_end.encode("ascii")
        self._rest = bytearray()  # received, not yet read

    def next(self, until: float, question: str = "") -> str:
        """The next line that is not blank, without its end and the blanks around it.

        Parameters
        ----------
        until : float
            Deadline for the whole of it, as of :func:`time.monotonic`.
        question : str
            What it answers, for messages.

        Raises
        ------
        Silent
            Nothing came.
        Garbled
            What came has no end, or is not ASCII text. It is thrown away.
        """
        while True:
            at = self._rest.find(self._end)
            if at >= 0:
                raw = bytes(self._rest[:at])
                del self._rest[: at + len(self._end)]
                line = self._text(raw)
                if line:
                    return line
                continue
            if len(self._rest) > LONGEST:
                raise self._endless(question)
            left = until - time.monotonic()
            data = self.channel.receive(left) if left > 0 else b""
            if data:
                self._take(data)
            elif self._rest.strip():
                raise self._endless(question)
            else:
                raise self._silent(question)

    def next_is_echo(self, until: float, question: str) -> None:
        """Take the echo of what was sent.

        Raises
        ------
        Silent
            Nothing came.
        Garbled
            Something else came.
        """
        line = self.next(until, question)
        if line != question.strip():
            raise Garbled(
                f"{self._where}: {line!r} came where the echo of {question!r} was due; "
                "set echo = false in its profile, or check the cable"
            )

    def check_answer(self, line: str, question: str) -> None:
        """Whether the line last read can be the answer.

        Raises
        ------
        Garbled
            It is the question, or more came with it.
        """
        if line == question.strip():
            raise Garbled(
                f"{self._where}: the meter echoes: {question!r} came back in place of an answer; "
                "set echo = true in its profile"
            )
        more = self.left_over()
        if more:
            raise Garbled(
                f"{self._where}: more than one line in answer to {question!r}: {line!r}, then "
                f"{more[:40]!r}; correct read_end in its profile, "
                "or set asks = false for a meter that sends unasked"
            )

    def waiting(self) -> bytes:
        """What has come and was not read, without waiting for more."""
        data = self.channel.receive(0)
        if data:
            self._take(data)
        return bytes(self._rest)

    def left_over(self) -> bytes:
        """What came together with the last line; blanks between lines do not count."""
        return bytes(self._rest.strip())

    def forget(self) -> None:
        """Throw away what was received and not read."""
        self._rest.clear()

    def drain(self) -> None:
        """Throw away all that has come, and know whether the next byte begins a line."""
        last, total = bytes(self._rest), 0
        while total < BACKLOG and (data := self.channel.receive(0)):
            last, total = (last + data)[-len(self._end) :], total + len(data)
        self._rest.clear()
        if last:
            self.at_start = last.endswith(self._end)

    def skip_to_start(self, until: float) -> None:
        """Throw away the rest of a line whose beginning is lost.

        Raises
        ------
        Silent, Garbled
            Nothing came, or nothing with an end.
        """
        while (at := self._rest.find(self._end)) < 0:
            if len(self._rest) > LONGEST:
                raise self._endless("")
            left = until - time.monotonic()
            data = self.channel.receive(left) if left > 0 else b""
            if not data:
                raise self._endless("") if self._rest else self._silent("")
            self._rest += data
        del self._rest[: at + len(self._end)]
        self.at_start = True

    def _take(self, data: bytes) -> None:
        self._rest += data
        whole = self.channel.whole and len(data) <= LONGEST
        if whole and not data.endswith(self._end):
            self._rest += self._end  # the end of a message is the end of a line

    def _text(self, raw: bytes) -> str:
        line = raw.strip()
        text = line.decode("ascii") if line.isascii() else _with_signs(line)
        if not text.replace("\t", " ").isprintable():
            raise Garbled(
                f"{self._where}: {line[:40]!r} is not ASCII text; check the baud rate and cable"
            )
        return text

    def _endless(self, question: str) -> Garbled:
        sent = bytes(self._rest)
        self._rest.clear()
        self.at_start = False
        asked = f" in answer to {question!r}" if question else ""
        return Garbled(
            f"{self._where}: {len(sent)} bytes{asked} without the line end "
            f"{self._transport.read_end!r}: {sent[:40]!r}; correct read_end in its profile{SEE_TRY}"
        )

    def _silent(self, question: str) -> Silent:
        missing = f"no answer to {question!r}" if question else "no line came"
        return Silent(
            f"{self._where}: {missing} within {self._transport.timeout_s:g} s; see that it is on, "
            f"and set to talk to a computer{SEE_TRY}"
        )


def _with_signs(line: bytes) -> str:
    """Text that holds the signs of units, as UTF-8 or in one byte; other text unprintable."""
    for encoding, signs in ENCODINGS:
        text = line.decode(encoding, "replace")
        if all(sign.isascii() or sign in signs for sign in text):
            return text
    return "\ufffd\0"
