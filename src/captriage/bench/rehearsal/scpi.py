"""The manners of a meter that speaks SCPI: headers long and short, an error queue, silence."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Callable
from typing import Final

NO_ERROR: Final = '0,"No error"'
UNDEFINED_HEADER: Final = '-113,"Undefined header"'
OUT_OF_RANGE: Final = '-222,"Data out of range"'
ILLEGAL_VALUE: Final = '-224,"Illegal parameter value"'
MISSING_VALUE: Final = '-109,"Missing parameter"'
NUMBER_EXPECTED: Final = '-104,"Data type error"'
QUEUE_OVERFLOW: Final = '-350,"Queue overflow"'
QUEUE_LENGTH: Final = 16

INFINITE: Final = 9.9e37
"""Sent where a number would be too large, as SCPI has it."""

Handler = Callable[[str], str | None]
"""Given what follows the header, the answer; None where there is none to be sent."""


class Refused(Exception):
    """A command that cannot be taken: the text goes into the error queue."""


class Language:
    """The commands that a simulated meter understands, and its error queue."""

    def __init__(self, identify: Callable[[], str]) -> None:
        """Start with the commands that every such meter has; ``identify`` says who it is."""
        self._known: dict[str, Handler] = {}
        self._patterns: list[tuple[re.Pattern[str], Handler]] = []
        self._errors: deque[str] = deque()
        self.learn("*IDN?", lambda _: identify())
        self.learn("*CLS", self._clear)
        self.learn("*OPC?", lambda _: "1")
        self.learn("*OPC", lambda _: None)
        self.learn("*WAI", lambda _: None)
        self.learn("*ESR?", lambda _: "32" if self._errors else "0")
        self.learn("*STB?", lambda _: "4" if self._errors else "0")
        self.learn("*TST?", lambda _: "0")
        self.learn("SYSTem:ERRor[:NEXT]?", lambda _: self._next_error())
        self.learn("SYSTem:ERRor:COUNt?", lambda _: str(len(self._errors)))
        self.learn("SYSTem:VERSion?", lambda _: "1999.0")

    def learn(self, header: str, handler: Handler) -> None:
        """Understand a header, written as in a manual: ``FUNCtion:IMPedance[:TYPE]``."""
        self._patterns.append((_pattern(header), handler))
        self._known.clear()

    def answer(self, line: str) -> str | None:
        """Do what a line says; the answers of its queries, joined as the language has it."""
        answers = [self._one(said.strip()) for said in line.split(";") if said.strip()]
        told = [answer for answer in answers if answer is not None]
        return ";".join(told) if told else None

    def complain(self, error: str) -> None:
        """Put an error into the queue."""
        if len(self._errors) >= QUEUE_LENGTH:
            self._errors[-1] = QUEUE_OVERFLOW
        else:
            self._errors.append(error)

    def _one(self, said: str) -> str | None:
        header, _, rest = said.partition(" ")
        handler = self._known.get(header)
        if handler is None:
            plain = header.lstrip(":").upper()
            found = next((h for p, h in self._patterns if p.fullmatch(plain)), None)
            if found is None:
                self.complain(UNDEFINED_HEADER)
                return None
            if len(self._known) < 200:
                self._known[header] = found
            handler = found
        try:
            return handler(rest.strip())
        except Refused as refusal:
            self.complain(str(refusal))
            return None

    def _next_error(self) -> str:
        return self._errors.popleft() if self._errors else NO_ERROR

    def _clear(self, _: str) -> None:
        self._errors.clear()


def number(text: str, low: float, high: float, *, unit: str = "") -> float:
    """The number that a command gives, within its bounds.

    Raises
    ------
    Refused
        There is none, or it lies outside; the meter keeps what it had.
    """
    if not text:
        raise Refused(MISSING_VALUE)
    plain = text.upper().removesuffix(unit.upper()).strip() if unit else text
    try:
        value = float({"MIN": low, "MAX": high}.get(plain.upper()[:3], plain))
    except ValueError:
        raise Refused(NUMBER_EXPECTED) from None
    if not low <= value <= high:
        raise Refused(OUT_OF_RANGE)
    return value


def choice(text: str, allowed: tuple[str, ...]) -> str:
    """The word that a command gives, one of those allowed.

    Raises
    ------
    Refused
        It is none of them.
    """
    if not text:
        raise Refused(MISSING_VALUE)
    word = text.upper()
    if word not in allowed:
        raise Refused(ILLEGAL_VALUE)
    return word


def switch(text: str) -> bool:
    """ON or OFF, 1 or 0.

    Raises
    ------
    Refused
        Neither.
    """
    return choice(text, ("ON", "OFF", "1", "0")) in ("ON", "1")


def _pattern(header: str) -> re.Pattern[str]:
    """What is typed for a header: long or short form of each word, words in brackets left out."""
    asks = header.endswith("?")
    built = ""
    for bracket, word in re.findall(r"(\[?):?(\*?[A-Za-z]+)", header.removesuffix("?")):
        short = "".join(letter for letter in word if not letter.islower())
        either = re.escape(short) if short == word else f"(?:{re.escape(short)}|{word.upper()})"
        colon = ":" if built else ""
        if bracket and built:
            built += f"(?:{colon}{either})?"
        elif bracket:
            built += f"(?:{either}:)?"
        elif built.endswith(":)?"):
            built += either
        else:
            built += colon + either
    return re.compile(built + (r"\?" if asks else ""))
