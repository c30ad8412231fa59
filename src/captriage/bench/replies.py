"""What the text of a reply means: numbers in SI, or why there is none.

A reply counts only when all of it has the shape that its profile describes; otherwise it
is garbled, and the meter has to be asked again. A reply of the right shape gives one
value for each quantity of the function, with a number or, where the meter meant none,
with NaN and a flag.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from math import copysign, inf, isinf, isnan, nan
from typing import Final, NoReturn

from captriage.bench.accuracy import uncertainty, with_phase_error
from captriage.bench.measured import Value
from captriage.bench.pattern_text import LONGEST_TEXT
from captriage.bench.profile import Field, Function, Reply
from captriage.bench.sent_units import DIMENSIONS, MOST_SENT, dimension_of_setting, unit_of
from captriage.columns import OUTPUT, TRIPPED
from captriage.errors import Garbled

STATUS: Final = "status"
LONGEST: Final = 1000  # characters; no reply of a bench meter is longer
NO_UNIT: Final = "?"  # in place of a unit that a reply should have and has not
MOST_BEYOND: Final = 10.0
"""Times the end of its range: meters read some 20 % beyond it, and no more than this."""

SETTING_AGREES: Final = 0.01  # a setting that a reply repeats may be rounded by this share
_SIGNS: Final = frozenset("µμΩΩ°℃")
_NUMBER: Final = re.compile(r"([+-]?) *((?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)")
_WHOLE: Final = re.compile(r"[+-]?[0-9]+")
_KELVIN_OF_ZERO: Final = 273.15


def understand(
    text: str, function: Function, *, settings: Mapping[str, float]
) -> tuple[Value, ...]:
    """Values of one reply.

    Parameters
    ----------
    text : str
        The reply, without or with its line end.
    function : Function
        What the meter was asked for.
    settings : mapping of str to float
        What it was set to. Where the reply repeats a setting, the two must agree to 1 %:
        a reading at another frequency is an answer to another question.

    Returns
    -------
    tuple of Value
        One for each of ``function.measures``, in that order.

        A status that is not good makes every value NaN, however real its number looks; the
        flag holds the status as it came and what it means. A status of more than one
        spelling ("+1", "1", "01") is one status, unless the profile lists the spellings
        apart. Over range by status, by word or by size (SCPI's 9.9E37 and 9.91E37 alike,
        since makers send either for an overload) is NaN with a flag that starts "over
        range"; ``range_high`` is the end of the range where the profile states one, and a
        negative overload has it as ``at_most`` instead. A status that speaks for several
        quantities gives no such bound. One quantity over range leaves the others: the series
        resistance of a short is worth having.

        A negative number is kept as the meter sent it: a shorted part with long leads
        reads as a negative capacitance, a bridge without correction shows a series
        resistance just below zero, and a leakage current has a direction. What it means
        for the part is judged later, by the same rules as for a sheet.

    Raises
    ------
    Garbled
        The reply has another shape: number of fields, something that is no number (or a
        number that no meter sends: two run together, infinite, too small for a double, far
        beyond what it can measure, which says nothing of the part: not even that it is large),
        an unknown status or unit, a unit of another dimension, a setting that is not the
        one asked for, an echo of the question, signs that no meter sends.
    """
    text = text.strip()
    if not text.isascii() or not text.isprintable() or len(text) > LONGEST:
        _check_characters(text, function)
    reply = function.reply
    parts = _by_pattern(text, function) if reply.pattern else _by_fields(text, function)
    flag = ""
    if STATUS in parts:
        flag = _status_flag(parts[STATUS][0], text, function)
    values = []
    for quantity in function.measures:
        if flag:
            values.append(_without_number(quantity, function, flag))
        else:
            values.append(_value(quantity, *parts[quantity], text, function))
    if not flag:
        for name in parts:
            if name not in DIMENSIONS and name != STATUS:
                _check_setting(name, *parts[name], text, function, settings)
    return with_phase_error(tuple(values), function, settings)


def _refuse(function: Function, text: str, found: str, remedy: str) -> NoReturn:
    shown = text if len(text) <= 60 else f"{text[:60]}…"
    raise Garbled(f"{function.name}: {found} in {shown!r}; {remedy}")


def _check_characters(text: str, function: Function) -> None:
    if len(text) > LONGEST:
        _refuse(function, text, f"{len(text)} characters", "check the line end of the reply")
    strange = [
        c for c in text if c not in _SIGNS and c != "\t" and not (c.isascii() and c.isprintable())
    ]
    if strange:
        _refuse(function, text, f"the character {strange[0]!r}", "check baud rate and parity")


def _by_fields(text: str, function: Function) -> dict[str, tuple[str, str]]:
    """Name of each field: its text and the unit that the profile says it is sent in."""
    reply = function.reply
    if not reply.separator:
        pieces = [text]
    elif reply.separator == " ":
        pieces = text.split()
    else:
        pieces = text.split(reply.separator)
    fields = reply.fields
    if len(pieces) != len(fields):
        least = sum(not field.optional for field in fields)
        if not least <= len(pieces) <= len(fields):
            _refuse_shape(text, function, f"{len(pieces)} of {_spoken_count(least, fields)} fields")
    return {
        field.quantity: (piece.strip(), field.unit)
        for field, piece in zip(fields, pieces, strict=False)
        if field.quantity
    }


def _spoken_count(least: int, fields: tuple[Field, ...]) -> str:
    return str(least) if least == len(fields) else f"{least} to {len(fields)}"


def _refuse_shape(text: str, function: Function, found: str) -> NoReturn:
    asked = function.read
    if asked and text.startswith(asked):
        remedy = "the question comes back: set echo = true in [transport] of the profile"
    else:
        remedy = "ask again; if it stays so, another profile fits this meter"
    _refuse(function, text, found, remedy)


def _by_pattern(text: str, function: Function) -> dict[str, tuple[str, str]]:
    """Name of each group: its text and the text of its unit."""
    fits = len(text) <= LONGEST_TEXT
    match = re.fullmatch(function.reply.pattern, text) if fits else None
    if match is None:
        _refuse_shape(text, function, "not the pattern of a reply")
    groups = match.groupdict()
    parts: dict[str, tuple[str, str]] = {}
    for name, found in groups.items():
        if name.endswith("_unit"):
            continue
        if found is None:
            _refuse_shape(text, function, f"no {name}")
        unit = groups.get(f"{name}_unit", "")
        if f"{name}_unit" in groups and not (unit and unit.strip()):
            unit = NO_UNIT
        parts[name] = (found.strip(), (unit or "").strip())
    return parts


def _status_flag(status: str, text: str, function: Function) -> str:
    """Flag of a status: "" where it is good."""
    reply = function.reply
    if status in reply.status_ok:
        return ""
    known = _known_status(status, reply)
    if known is None:
        _refuse_shape(text, function, f"unknown status {status!r}")
    if known in reply.status_ok:
        return ""
    means = reply.status_words.get(known, "")
    said = f"status {status}" + (f", {means}" if means else "")
    return f"{'over range' if known in reply.over_range_status else 'no reading'}: {said}"


def _known_status(status: str, reply: Reply) -> str | None:
    """The status as the profile spells it; None where it lists none that is the same."""
    known = [*reply.status_ok, *reply.over_range_status, *reply.status_words]
    if status in known:
        return status
    if not _WHOLE.fullmatch(status):
        return None
    same = {each for each in known if _WHOLE.fullmatch(each) and int(each) == int(status)}
    meanings = {(s in reply.status_ok, s in reply.over_range_status) for s in same}
    return min(same) if len(meanings) == 1 else None


def _without_number(quantity: str, function: Function, flag: str) -> Value:
    # Where one status speaks for two quantities, it does not say which of them is beyond
    # its range, nor on which side: an overloaded bridge has an open or a shorted part.
    if len(function.measures) > 1 or not flag.startswith("over range"):
        return Value(quantity, nan, flag=flag)
    return Value(quantity, nan, range_high=function.range_high.get(quantity, nan), flag=flag)


def _value(quantity: str, found: str, unit: str, text: str, function: Function) -> Value:
    reply = function.reply
    if found in reply.number_words:
        number = reply.number_words[found]
    else:
        match = _NUMBER.fullmatch(found)
        if match is None:
            return _word(quantity, found, text, function)
        number = float(match[1] + match[2])
        if isinf(number) or (number == 0.0 and _is_not_zero(match[2])):
            _refuse_shape(text, function, f"{found}, which no meter sends,")
    if abs(number) >= reply.over_range_at:
        return _over_range(quantity, copysign(1.0, number), function)
    value = _to_si(number, unit, DIMENSIONS[quantity], text, function)
    most = MOST_BEYOND * function.range_high.get(quantity, inf)
    if abs(value) > min(most, MOST_SENT[DIMENSIONS[quantity]]):
        found = f"{quantity} {value:g}, far beyond any range of this meter,"
        remedy = "ask again; if it means an overload, say so with over_range_at in its profile"
        _refuse(function, text, found, remedy)
    if quantity in (OUTPUT, TRIPPED) and value not in (0.0, 1.0):
        _refuse_shape(text, function, f"{found}, which is neither on nor off,")
    return Value(
        quantity,
        value,
        uncertainty(value, function.accuracy[quantity]),
        range_high=function.range_high.get(quantity, nan),
    )


def _is_not_zero(digits: str) -> bool:
    return digits.lower().partition("e")[0].strip("0.") != ""


def _word(quantity: str, found: str, text: str, function: Function) -> Value:
    """Value of a field that holds a word in place of a number."""
    reply = function.reply
    folded = found.upper()
    if folded in _upper(reply.not_ready_words):
        return Value(quantity, nan, flag="no reading")
    over = _upper(reply.over_range_words)
    if folded in over:
        return _over_range(quantity, 1.0, function)
    sign = folded[:1]
    if sign in ("+", "-") and folded[1:].strip() in over:
        return _over_range(quantity, -1.0 if sign == "-" else 1.0, function)
    _refuse_shape(text, function, f"{found!r} in place of a number")


@lru_cache(maxsize=64)
def _upper(words: frozenset[str]) -> frozenset[str]:
    return frozenset(word.upper() for word in words)


def _over_range(quantity: str, sign: float, function: Function) -> Value:
    end = function.range_high.get(quantity, nan)
    if sign < 0:
        return Value(quantity, nan, at_most=-end, flag="over range negative")
    return Value(quantity, nan, range_high=end, flag="over range")


def _to_si(number: float, unit: str, dimension: str, text: str, function: Function) -> float:
    if not unit:
        return number
    parsed = unit_of(unit, dimension)
    if parsed is None:
        found = "no unit" if unit == NO_UNIT else f"the unit {unit!r}"
        wanted = f"{dimension} is wanted" if dimension else "a plain number is wanted"
        _refuse(function, text, found, f"{wanted}: check the meter's function switch")
    if parsed.dimension == "°F":
        return (number - 32.0) / 1.8
    if parsed.dimension == "K":
        return number - _KELVIN_OF_ZERO
    return parsed.to_si(number)


def is_number(text: str) -> bool:
    """Whether a meter means a number by ``text``."""
    return _NUMBER.fullmatch(text.strip()) is not None


def _check_setting(
    name: str,
    found: str,
    unit: str,
    text: str,
    function: Function,
    settings: Mapping[str, float],
) -> None:
    match = _NUMBER.fullmatch(found)
    if match is None:
        _refuse_shape(text, function, f"{found!r} in place of {name}")
    told = _to_si(float(match[1] + match[2]), unit, dimension_of_setting(name), text, function)
    asked = settings.get(name, nan)
    if isnan(asked) or abs(told - asked) <= SETTING_AGREES * abs(asked):
        return
    _refuse(function, text, f"{name} {told:g}", f"{asked:g} was set: set the meter up again")
