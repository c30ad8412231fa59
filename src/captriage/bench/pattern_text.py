"""A pattern in a profile is matched in a moment, whatever a meter sends, or it is refused.

A regular expression can take longer than a life over twenty characters. Those that are allowed
are read here: signs, sets, groups, alternatives and repeats, with no repeat within a repeat. For
them the ways in which one text may be shared out among the parts can be counted from above.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

LONGEST_PATTERN: Final = 300
LONGEST_TEXT: Final = 200
"""Characters of a reply that is matched against a pattern."""

MOST_WAYS: Final = 1_000_000  # tried in less than a second; two "[0-9]+[.]?[0-9]*" pass

_SIGNS: Final = (*map(chr, range(128)), *"µμΩΩ°℃")  # all that a reply may hold
_ESCAPE: Final = re.compile(r"\\(?:x..|u.{4}|U.{8}|N\{[^}]*\}|0[0-7]{0,2}|[1-3][0-7]{2}|.)", re.S)
_SET: Final = re.compile(r"\[\^?\]?(?:\\.|[^\]\\])*\]", re.S)
_REPEAT: Final = re.compile(r"([?*+]|\{[0-9]+\}|\{[0-9]*,[0-9]*\})[?+]?")
_GROUP: Final = re.compile(r"\((?!\?)|\(\?:|\(\?P<[A-Za-z_0-9]+>")
_WIDTHLESS: Final = ("^", "$", r"\A", r"\Z", r"\b", r"\B")
_NO_LIMIT: Final = 10**9

Signs = frozenset[str]
NONE: Final[Signs] = frozenset()


@dataclass(frozen=True)
class Sign:
    """One sign of several that may stand there; of none where it has no width."""

    signs: Signs
    first: Signs
    may_be_empty: bool = False
    varies: bool = False

    def ways(self, after: Signs) -> int:
        """In how many ways text may be shared out between this and what comes ``after``."""
        del after
        return 1


@dataclass(frozen=True)
class Row:
    """Parts that follow one another."""

    parts: Sequence[Part]

    @property
    def signs(self) -> Signs:
        """All signs that may stand in it."""
        return NONE.union(*(part.signs for part in self.parts))

    @property
    def first(self) -> Signs:
        """Signs that it may begin with."""
        return _first(self.parts, NONE)

    @property
    def may_be_empty(self) -> bool:
        """Whether it matches nothing at all."""
        return all(part.may_be_empty for part in self.parts)

    @property
    def varies(self) -> bool:
        """Whether there is a choice in it."""
        return any(part.varies for part in self.parts)

    def ways(self, after: Signs) -> int:
        """As of :class:`Sign`."""
        found = 1
        for number, part in enumerate(self.parts, 1):
            found *= part.ways(_first(self.parts[number:], after))
        return found


@dataclass(frozen=True)
class Choice:
    """Alternatives."""

    parts: Sequence[Row]
    varies: bool = True

    @property
    def signs(self) -> Signs:
        """All signs that may stand in it."""
        return NONE.union(*(part.signs for part in self.parts))

    @property
    def first(self) -> Signs:
        """Signs that it may begin with."""
        return NONE.union(*(part.first for part in self.parts))

    @property
    def may_be_empty(self) -> bool:
        """Whether it matches nothing at all."""
        return any(part.may_be_empty for part in self.parts)

    def ways(self, after: Signs) -> int:
        """As of :class:`Sign`; one alternative after another may fit the same text."""
        told_apart = sum(len(part.first) for part in self.parts) == len(self.first)
        found = 1 if told_apart and not self.may_be_empty else len(self.parts)
        for part in self.parts:
            found *= part.ways(after)
        return found


@dataclass(frozen=True)
class Repeat:
    """A part that may stand there several times, or not at all."""

    part: Part
    low: int
    high: int

    @property
    def signs(self) -> Signs:
        """All signs that may stand in it."""
        return self.part.signs

    @property
    def first(self) -> Signs:
        """Signs that it may begin with."""
        return self.part.first

    @property
    def may_be_empty(self) -> bool:
        """Whether it matches nothing at all."""
        return not self.low or self.part.may_be_empty

    @property
    def varies(self) -> bool:
        """Whether there is a choice in it."""
        return self.high != self.low or self.part.varies

    def ways(self, after: Signs) -> int:
        """As of :class:`Sign`; where it gives text back, what comes after may take that."""
        inner = self.part.ways(after)
        shared = not self.signs.isdisjoint(after)
        return inner * (min(self.high, LONGEST_TEXT) - self.low + 1 if shared else 1)


Part = Sign | Row | Choice | Repeat


def why_not(pattern: str) -> str:
    """Why a pattern may not stand in a profile; "" where it may.

    Parameters
    ----------
    pattern : str
        Regular expression of Python's ``re``, which has compiled it already.
    """
    if len(pattern) > LONGEST_PATTERN:
        return f"it has {len(pattern)} characters; {LONGEST_PATTERN} are enough"
    try:
        part = _Reading(pattern).choice()
    except _NotAllowedError as refused:
        return str(refused)
    if part.ways(NONE) > MOST_WAYS:
        return (
            "its repeats may share out one text in too many ways; have what follows a repeat "
            'begin with a sign that the repeat does not take, and write a number as "[0-9.]+"'
        )
    return ""


def matches(pattern: str, text: str) -> bool:
    """Whether all of a text that a meter sent is as the pattern says."""
    return len(text) <= LONGEST_TEXT and re.fullmatch(pattern, text) is not None


def _first(parts: Sequence[Part], after: Signs) -> Signs:
    """Signs that parts in a row may begin with, or what comes after them where all are empty."""
    found = NONE
    for part in parts:
        found |= part.first
        if not part.may_be_empty:
            return found
    return found | after


class _NotAllowedError(Exception):
    """The pattern holds something that is not allowed."""


class _Reading:
    """Reads a pattern from its beginning to its end."""

    def __init__(self, pattern: str) -> None:
        self._pattern = pattern
        self._at = 0

    def choice(self) -> Part:
        """Alternatives, up to the end or to the ``)`` that closes the group."""
        rows = [Row(tuple(self._parts()))]
        while self._next() == "|":
            self._at += 1
            rows.append(Row(tuple(self._parts())))
        return rows[0] if len(rows) == 1 else Choice(tuple(rows))

    def _next(self) -> str:
        return self._pattern[self._at : self._at + 1]

    def _parts(self) -> Iterator[Part]:
        while self._next() not in ("", "|", ")"):
            part = self._part()
            found = _REPEAT.match(self._pattern, self._at)
            if found:
                self._at = found.end()
                part = _repeated(part, found[1])
            yield part

    def _part(self) -> Part:
        if self._next() == "(":
            return self._group()
        form = _SET if self._next() == "[" else _ESCAPE
        found = form.match(self._pattern, self._at)
        text = found[0] if found else self._next()
        self._at += len(text)
        if text in _WIDTHLESS:
            return Sign(NONE, NONE, may_be_empty=True)
        if re.fullmatch(r"\\[1-9]", text):
            raise _NotAllowedError(f'"{text}" repeats a group; write what it stands for')
        if len(text) == 1 and text != ".":
            return Sign(frozenset(text), frozenset(text))
        signs = frozenset(sign for sign in _SIGNS if re.fullmatch(text, sign))
        return Sign(signs, signs)

    def _group(self) -> Part:
        found = _GROUP.match(self._pattern, self._at)
        if not found:
            raise _NotAllowedError(
                f'"{self._pattern[self._at : self._at + 4]}": groups are "(", "(?:" and "(?P<name>"'
            )
        self._at = found.end()
        inner = self.choice()
        self._at += 1
        return inner


def _repeated(part: Part, sign: str) -> Repeat:
    low, high = {"?": (0, 1), "*": (0, _NO_LIMIT), "+": (1, _NO_LIMIT)}.get(sign, (0, 0))
    if sign.startswith("{"):
        least, comma, most = sign[1:-1].partition(",")
        low = int(least or 0)
        high = int(most or _NO_LIMIT) if comma else low
    if high > 1 and part.varies:
        raise _NotAllowedError(
            "it has a repeat or alternatives within a repeat, which may take for ever; "
            "write a set such as [0-9.] in place of a group"
        )
    return Repeat(part, low, high)
