"""Whether a meter took what it was told: its settings asked back, its own errors asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from math import isnan, nan
from typing import TYPE_CHECKING, Final

from captriage.bench.lines import SEE_TRY
from captriage.bench.pattern_text import matches
from captriage.bench.sent_units import dimension_of_setting, unit_of
from captriage.errors import Silent, Unset

if TYPE_CHECKING:
    from captriage.bench.profile import Confirm, Profile
    from captriage.bench.wire import Wire

AGREES: Final = 0.01
"""Share by which a meter may round a setting as it takes it, or as it tells it; ours."""

MOST_ERRORS: Final = 50
"""Errors after which a list of them is taken to have no end; meters keep a few dozen at most."""

REMEDY: Final = (
    "see that its keys are not locked, that it can do this, and that its profile speaks its dialect"
)

_NUMBER: Final = re.compile(r"([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?) ?([^0-9]*)")
_SWITCHED: Final = {"ON": "1", "OFF": "0"}
_BETWEEN: Final = re.compile(r"[:,; ]+")
_SHORT: Final = 4  # letters of a mnemonic's short form


def send(wire: Wire, commands: Iterable[str]) -> None:
    """Send commands; the answer of one that is a question is taken, and thrown away.

    Raises
    ------
    Gone, Silent, Garbled
        One was not taken.
    """
    for command in commands:
        if command.split()[0].endswith("?"):
            wire.ask(command)
        else:
            wire.tell(command)


def obeyed(
    wire: Wire,
    profile: Profile,
    commands: Sequence[str],
    confirms: Sequence[Confirm],
    *,
    settings: Mapping[str, float],
    where: str,
) -> dict[str, float]:
    """Send commands, and ask the meter whether it took them.

    Parameters
    ----------
    wire : Wire
        Open.
    profile : Profile
        Says how the meter is asked for its errors. Those of before are nobody's, and are
        thrown away.
    commands : sequence of str
        As they are sent.
    confirms : sequence of Confirm
        What to ask after them.
    settings : mapping of str to float
        What stands in the commands, SI.
    where : str
        How messages call the meter.

    Returns
    -------
    dict of str to float
        As :func:`read_back`.

    Raises
    ------
    Gone, Silent, Garbled
        It did not take what was sent, or does not answer.
    Unset
        It tells an error, or is set otherwise.
    """
    if not commands and not confirms:
        return {}

    def ask(question: str) -> str:
        try:
            return wire.ask(question)
        except Silent as error:
            said = str(error).removesuffix(SEE_TRY)
            raise Silent(
                f"{said}; if it does not know the question, take that out of its profile{SEE_TRY}"
            ) from error

    def errors() -> list[str]:
        asked = profile.error_ask
        return errors_of(lambda: ask(asked), profile.error_none, where=where) if asked else []

    errors()
    send(wire, commands)
    if found := errors():
        raise Unset(f"{where}: answers {', '.join(commands)} with {'; '.join(found)}; {REMEDY}")
    return read_back(confirms, settings, ask=ask, where=where)


def read_back(
    confirms: Iterable[Confirm],
    settings: Mapping[str, float],
    *,
    ask: Callable[[str], str],
    where: str,
) -> dict[str, float]:
    """What a meter says it is set to, which must be what it was told.

    Parameters
    ----------
    confirms : iterable of Confirm
        What to ask, and what is to be answered.
    settings : mapping of str to float
        What it was told, SI.
    ask : callable
        Given a question, the answer of the meter.
    where : str
        How messages call the meter.

    Returns
    -------
    dict of str to float
        Setting: what the meter says it is, SI; within 1 % of what was asked for.

    Raises
    ------
    Unset
        It says otherwise; every difference is named.
    """
    told: dict[str, float] = {}
    wrong = []
    for confirm in confirms:
        answer = ask(confirm.ask)
        if not confirm.setting:
            if not any(says(answer, wanted) for wanted in confirm.answers):
                wrong.append(f"asked for {confirm.answers[0]}, {confirm.ask} says {answer}")
            continue
        asked = settings[confirm.setting]
        unit = dimension_of_setting(confirm.setting)
        found = number_in(answer, unit)
        if agree(found, asked):
            told[confirm.setting] = found
        else:
            said = answer if isnan(found) else f"{found:.6g} {unit}".strip()
            wanted = f"{asked:.6g} {unit}".strip()
            wrong.append(f"asked for {wanted}, {confirm.ask} says {said}")
    if wrong:
        raise Unset(f"{where}: {'; '.join(wrong)}; {REMEDY}")
    return told


def errors_of(ask: Callable[[], str], none: str, *, where: str) -> list[str]:
    """Take the errors that a meter keeps, until it has none left.

    Parameters
    ----------
    ask : callable
        Asks for the next one.
    none : str
        Regular expression of the whole answer where there is none.
    where : str
        How messages call the meter.

    Raises
    ------
    Unset
        There is no end to them.

    References
    ----------
    .. [1] SCPI-99, volume 2, SYSTem:ERRor: the oldest error is told first, and is gone then.
    """
    found: list[str] = []
    while not matches(none, answer := ask()):
        found.append(answer)
        if len(found) >= MOST_ERRORS:
            raise Unset(
                f"{where}: tells {MOST_ERRORS} errors and no end, the last {answer!r}; "
                "switch it off and on, or correct error_none in its profile"
            )
    return found


def agree(found: float, asked: float) -> bool:
    """Whether a number that was read back is the one that was asked for; nought is only nought."""
    return abs(found - asked) <= AGREES * abs(asked)


def number_in(answer: str, dimension: str) -> float:
    """The number that an answer gives, in SI, its unit beside it or none; NaN where it is none."""
    match = _NUMBER.fullmatch(_bare(answer))
    if match is None:
        return nan
    number, unit = float(match[1]), match[2].strip()
    if not unit:
        return number
    known = unit_of(unit, dimension)
    return nan if known is None else known.to_si(number)


def says(answer: str, wanted: str) -> bool:
    """Whether an answer means this value.

    Numbers may be written in any way, and ON is 1; of words, the case and quotation marks do
    not count, and the long form of a mnemonic is its short form: CURRENT is CURR.

    References
    ----------
    .. [1] SCPI-99, volume 1, "Syntax and style": a short form has four letters, or three where
       the fourth is a vowel; a switch is told as 1 or 0.
    """
    found, meant = (_words(text) for text in (answer, wanted))
    return len(found) == len(meant) and all(map(_same, found, meant))


def _bare(text: str) -> str:
    return text.strip().strip("\"'").strip()


def _words(text: str) -> list[str]:
    return [_SWITCHED.get(word, word) for word in _BETWEEN.split(_bare(text).upper().lstrip(":"))]


def _same(found: str, meant: str) -> bool:
    if found == meant:
        return True
    if agree(number_in(found, ""), number_in(meant, "")):
        return True
    return meant == _short(found) or found == _short(meant)


def _short(word: str) -> str:
    """The short form of a mnemonic; the word itself where it is none, or short already."""
    if len(word) <= _SHORT or not word.isalpha():
        return word
    return word[: _SHORT - 1] if word[_SHORT - 1] in "AEIOUY" else word[:_SHORT]
