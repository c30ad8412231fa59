"""Entries of a TOML table, each checked as it is taken; what is wrong is said where it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import inf, isfinite
from typing import Any, Final, NoReturn, TypeVar

from captriage.errors import ProfileError

Taken = TypeVar("Taken")
MISSING: Final[Any] = object()


@dataclass(frozen=True)
class Entries:
    """One table of a file: its entries can be taken, but none that is not known.

    Parameters
    ----------
    table : mapping
        As TOML gives it.
    where : str
        The file, as messages call it.
    key : str
        Dotted key of the table in its file; "" for the file itself.
    """

    table: Mapping[str, Any]
    where: str
    key: str = ""

    def refuse(self, name: str, found: str, remedy: str) -> NoReturn:
        """Raise ProfileError: what was found under ``name``, and what may stand there."""
        key = ".".join(part for part in (self.key, name) if part)
        raise ProfileError(f"{self.where}: {key}: {found}; {remedy}")

    def only(self, *names: str) -> Entries:
        """The same entries; ProfileError where one has another name than these."""
        for name in self.table:
            if name not in names:
                near = get_close_matches(name, names, n=1)
                meant = f"{near[0]} is probably meant; " if near else ""
                known = f"{meant}there are {', '.join(names)}" if names else "nothing belongs here"
                self.refuse(name, "unknown key", known)
        return self

    def take(self, name: str, default: Any, read: Callable[[Any], Taken]) -> Taken:  # noqa: ANN401
        """Entry ``name`` read by ``read``, the default where it is missing and has one."""
        if name in self.table:
            return read(self.table[name])
        if default is MISSING:
            self.refuse(name, "missing", "this key has no default: write it")
        return default  # type: ignore[no-any-return]

    def text(self, name: str, default: str = MISSING) -> str:
        """A text."""
        return self.take(name, default, lambda found: self.as_text(name, found))

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts; none where it is missing."""
        return self.take(
            name, (), lambda found: tuple(self.as_text(name, f) for f in self.as_list(name, found))
        )

    def choice(self, name: str, options: Iterable[str], default: str = MISSING) -> str:
        """One text of those that are allowed."""
        options = tuple(options)
        found = self.text(name, default)
        if found not in options:
            self.refuse(name, repr(found), f"one of {', '.join(options)}")
        return found

    def number(
        self, name: str, low: float, high: float = inf, *, default: float = MISSING
    ) -> float:
        """A finite number from ``low`` to ``high``."""
        return self.take(name, default, lambda found: self.as_number(name, found, low, high))

    def whole(self, name: str, low: int, high: int, *, default: int) -> int:
        """A whole number from ``low`` to ``high``."""
        found = self.number(name, low, high, default=default)
        if found != int(found):
            self.refuse(name, f"{found:g}", "a whole number is wanted")
        return int(found)

    def switch(self, name: str, *, default: bool) -> bool:
        """True or false."""
        found = self.table.get(name, default)
        if not isinstance(found, bool):
            self.refuse(name, repr(found), "true or false is wanted")
        return found

    def inner(self, name: str) -> Entries:
        """A table within this one; empty where it is missing."""
        found = self.table.get(name, {})
        key = f"{self.key}.{name}" if self.key else name
        return Entries(self.as_table(name, found), self.where, key)

    def listed(self, name: str) -> tuple[Entries, ...]:
        """A list of tables; none where it is missing."""
        found = self.as_list(name, self.table.get(name, []))
        key = f"{self.key}.{name}" if self.key else name
        return tuple(
            Entries(self.as_table(f"{name}[{k}]", each), self.where, f"{key}[{k}]")
            for k, each in enumerate(found, 1)
        )

    def as_text(self, name: str, found: object) -> str:
        """``found``, which must be a text."""
        if not isinstance(found, str):
            self.refuse(name, repr(found), "a text in quotes is wanted")
        return found

    def as_list(self, name: str, found: object) -> list[Any]:
        """``found``, which must be a list."""
        if not isinstance(found, list):
            self.refuse(name, repr(found), "a list in [ ] is wanted")
        return found

    def as_table(self, name: str, found: object) -> Mapping[str, Any]:
        """``found``, which must be a table."""
        if not isinstance(found, dict):
            self.refuse(name, repr(found), "a table is wanted")
        return found

    def as_number(self, name: str, found: object, low: float, high: float = inf) -> float:
        """``found``, which must be a finite number within these bounds."""
        if isinstance(found, bool) or not isinstance(found, int | float) or not isfinite(found):
            self.refuse(name, repr(found), "a finite number is wanted")
        if not low <= found <= high:
            span = f"{low:g} or more" if high == inf else f"{low:g} to {high:g}"
            self.refuse(name, f"{found:g}", f"{span} is allowed")
        return float(found)
