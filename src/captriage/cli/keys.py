"""The person's keys: one at a time at a terminal, lines from a pipe or a foot switch.

A terminal is put back as it was when the ``with`` block ends, however it ends; signals that
would end the program should call :meth:`Keys.stop` for that.
"""

from __future__ import annotations

import os
import select
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from types import TracebackType
from typing import Any, Final, Self

from captriage.bench.sitting import ENTER, Ended

LOOK_S: Final = 0.2
"""How often a wait for a key looks whether it is to stop."""

LONGEST_LINE: Final = 4096  # bytes; more at once is no person typing
END_OF_INPUT: Final = "\x04"  # Ctrl-D
ESCAPE: Final = "\x1b"

Write = Callable[[str], None]


class Keys:
    """No keys at all: standard input is closed, or another program's. Base of the others.

    Parameters
    ----------
    write : callable
        Shows a prompt.
    """

    def __init__(self, write: Write) -> None:
        self._write = write
        self._stopped = ""
        self.ended = True

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Put the terminal back as it was."""

    def pause(self) -> None:
        """Give the terminal back for as long as the program is suspended."""

    def resume(self) -> None:
        """Take the terminal again, now or when the program is back in front of it."""

    def stop(self, why: str) -> None:
        """Have every wait, and every later question, raise Ended."""
        self._stopped = why

    def poll(self) -> str | None:
        """A key or a line that is waiting, such as :data:`ENTER`; None where there is none.

        Raises
        ------
        Ended
            It was told to stop.
        """
        self._check()
        return self._waiting(0.0)

    def next(self) -> str | None:
        """The next key or line; None where none will come.

        Raises
        ------
        Ended
            It was told to stop.
        """
        while True:
            self._check()
            key = self._waiting(LOOK_S)
            if key is not None or self.ended:
                return key

    def line(self, prompt: str) -> str | None:
        """A line of text; None where none will come.

        Raises
        ------
        Ended
            It was told to stop.
        """
        self._write(prompt)
        return self.next()

    def _check(self) -> None:
        if self._stopped:
            raise Ended(self._stopped)

    def _waiting(self, seconds: float) -> str | None:
        """What comes within this time."""
        del seconds
        return None


class LineKeys(Keys):
    """Lines from a pipe or a file: an empty one is Enter; the end of the input is no key."""

    def __init__(self, write: Write, file: int) -> None:
        super().__init__(write)
        self.ended = False
        self._file = file
        self._read = b""

    def _waiting(self, seconds: float) -> str | None:
        if b"\n" not in self._read and not self.ended and readable(self._file, seconds):
            data = os.read(self._file, LONGEST_LINE)
            self._read += data or (b"\n" if self._read else b"")
            self.ended = not data
        line, found, rest = self._read.partition(b"\n")
        if not found and len(line) < LONGEST_LINE:
            return None
        self._read = rest
        return line.decode("utf-8", "replace").strip()


class TerminalKeys(Keys):
    """Single keys at a POSIX terminal; whole lines with the terminal's own editing."""

    def __init__(self, write: Write, file: int) -> None:
        import termios

        super().__init__(write)
        self.ended = False
        self._file = file
        self._read = b""
        self._termios: Any = termios
        self._was = termios.tcgetattr(file)
        self._by_line = False
        self._suspended = False
        self._single()

    def _single(self) -> None:
        """Each key at once, unseen; Ctrl-C still interrupts."""
        now = self._termios.tcgetattr(self._file)
        now[3] &= ~(self._termios.ICANON | self._termios.ECHO)
        now[6][self._termios.VMIN], now[6][self._termios.VTIME] = 1, 0
        self._termios.tcsetattr(self._file, self._termios.TCSANOW, now)

    def close(self) -> None:
        """Put the terminal back as it was."""
        with suppress(self._termios.error, OSError):  # it may have been closed
            self._termios.tcsetattr(self._file, self._termios.TCSANOW, self._was)

    def pause(self) -> None:
        """Give the terminal back for as long as the program is suspended."""
        self._suspended = True
        self.close()

    def resume(self) -> None:
        """Take the terminal again, now or when the program is back in front of it."""
        self._suspended = not in_front(self._file)
        if not self._suspended:
            (self.close if self._by_line else self._single)()

    def line(self, prompt: str) -> str | None:
        """A line of text, with the terminal's own editing; None where none will come.

        Raises
        ------
        Ended
            It was told to stop.
        """
        self._write(prompt)
        typed, self._read = self._read, b""
        self._by_line = True
        self.close()
        try:
            while b"\n" not in typed:
                self._check()
                if self.ended:
                    return None
                if self._readable(LOOK_S):
                    data = self._bytes()
                    typed += data or (b"\n" if typed else b"")
            line, _, self._read = typed.partition(b"\n")
            return line.decode("utf-8", "replace").strip()
        finally:
            self._by_line = False
            self._single()

    def _waiting(self, seconds: float) -> str | None:
        if not self._read and not self.ended and self._readable(seconds):
            self._read += self._bytes()
        while self._read:
            key, self._read = first_key(self._read)
            if key == END_OF_INPUT:
                self.ended = True
                return None
            if key is not None:
                return key
        return None

    def _readable(self, seconds: float) -> bool:
        """Whether something is typed to this program within this time."""
        if self._suspended:
            self.resume()
        if self._suspended:  # in the background: what is typed is the shell's
            time.sleep(seconds)
            return False
        return readable(self._file, seconds)

    def _bytes(self) -> bytes:
        try:
            data = os.read(self._file, LONGEST_LINE)
        except OSError:  # the terminal was closed
            data = b""
        self.ended = not data
        return data


class ConsoleKeys(Keys):
    """Single keys at a Windows console."""

    def __init__(self, write: Write) -> None:
        import msvcrt

        super().__init__(write)
        self.ended = False
        self._console: Any = msvcrt

    def line(self, prompt: str) -> str | None:
        """A line of text, with Backspace; None where none will come.

        Raises
        ------
        Ended
            It was told to stop.
        """
        self._write(prompt)
        typed = ""
        while True:
            self._check()
            sign = self._sign(LOOK_S)
            if sign in ("\r", "\n"):
                self._write("\n")
                return typed.strip()
            if sign == "\b":
                typed = typed[:-1]
                self._write("\b \b")
            elif sign:
                typed += sign
                self._write(sign)

    def _waiting(self, seconds: float) -> str | None:
        sign = self._sign(seconds)
        if not sign:
            return None
        return ENTER if sign in ("\r", "\n") else sign.lower()

    def _sign(self, seconds: float) -> str:
        """A sign that is typed within this time; "" for none, and for function keys."""
        until = time.monotonic() + seconds
        while not self._console.kbhit():
            if time.monotonic() >= until:
                return ""
            time.sleep(0.02)
        sign: str = self._console.getwch()
        if sign in ("\x00", "\xe0"):  # the first half of a function key
            self._console.getwch()
            return ""
        return sign


def first_key(typed: bytes) -> tuple[str | None, bytes]:
    """The first key of what was typed, and the rest; None for arrows and the like."""
    text = typed.decode("utf-8", "replace")
    sign, rest = text[0], text[1:]
    if sign == ESCAPE:
        if rest[:1] in ("[", "O"):
            end = next((k for k, s in enumerate(rest[1:], 1) if s.isalpha() or s == "~"), len(rest))
            rest = rest[end + 1 :]
        return None, rest.encode()
    return ENTER if sign in "\r\n" else sign.lower(), rest.encode()


def readable(file: int, seconds: float) -> bool:
    """Whether something, or the end, can be read within this time."""
    return bool(select.select([file], [], [], seconds)[0])


def in_front(file: int) -> bool:
    """Whether what is typed at this terminal is meant for this program."""
    try:
        return os.tcgetpgrp(file) == os.getpgrp()
    except OSError:  # not the terminal of this session
        return True


def open_keys(write: Write) -> Keys:
    """The keys that standard input has to offer."""
    try:
        file = sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # closed, or none
        return Keys(write)
    if os.name == "nt":
        return ConsoleKeys(write) if os.isatty(file) else Keys(write)
    if not os.isatty(file):
        return LineKeys(write, file)
    return TerminalKeys(write, file) if in_front(file) else Keys(write)
