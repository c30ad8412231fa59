"""The functions of a profile: what is asked, how the reply reads, how far it is trusted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import inf
from typing import Any, Final

from captriage.bench.entries import Entries
from captriage.bench.pattern_text import why_not
from captriage.bench.profile import Accuracy, Field, Function, Reply
from captriage.bench.replies import STATUS, is_number
from captriage.bench.sent_units import DIMENSIONS, dimension_of_setting, unit_of

Limits = Mapping[str, tuple[float, float]]

FUNCTION: Final = ("setup", "confirm", "read", "reply", "accuracy", "range_high")
_REPLY: Final = tuple(Reply.__slots__)
_STATUS_SETS: Final = ("status_ok", "over_range_status")
_SEPARATOR: Final = re.compile(r"[^\w.+-]{1,3}")


def read_function(
    entries: Entries, name: str, common: Entries, limits: Limits, *, person: bool
) -> Function:
    """One function of a profile.

    Parameters
    ----------
    entries : Entries
        Its table.
    name : str
        What it is called.
    common : Entries
        The profile's [reply]: what all replies share. What a function says itself wins.
    limits : mapping
        Settings of the profile, which a reply may repeat.
    person : bool
        A person answers, whose words need no description.

    Raises
    ------
    ProfileError
        An entry is wrong, missing or unknown.
    """
    entries.only(*FUNCTION)
    own = entries.inner("reply").only(*_REPLY)
    common.only(*_REPLY)
    accuracy = entries.inner("accuracy")
    if person:
        if own.table or common.table:
            entries.refuse("reply", "given", "a person's words are known: leave it out")
        if "range_high" in entries.table:
            entries.refuse("range_high", "given", "it is typed: 'OL 20 mA'; leave it out")
        reply, measured = Reply(), tuple(accuracy.table)
    else:
        reply = _reply(Entries({**common.table, **own.table}, own.where, own.key), limits)
        measured = _measured(reply)
    accuracy.only(*(measured or DIMENSIONS))
    for quantity in measured:
        if quantity not in DIMENSIONS:
            accuracy.refuse(quantity, "no quantity", f"there are {', '.join(DIMENSIONS)}")
        if quantity not in accuracy.table:
            accuracy.refuse(quantity, "missing", f"write {quantity} = [] where none is stated")
    if not measured:
        entries.refuse("accuracy", "no quantity", f"there are {', '.join(DIMENSIONS)}")
    high = entries.inner("range_high").only(*measured)
    ends = {quantity: high.number(quantity, 0.0) for quantity in high.table}
    for quantity, end in ends.items():
        if not 0 < end < reply.over_range_at:
            high.refuse(quantity, f"{end:g}", "above 0 and below over_range_at is wanted")
    return Function(
        name=name,
        setup=entries.texts("setup"),
        read=entries.text("read", ""),
        reply=reply,
        accuracy={quantity: _accuracy(accuracy, quantity) for quantity in measured},
        range_high=ends,
    )


def _measured(reply: Reply) -> tuple[str, ...]:
    """Quantities of a reply in their order."""
    if reply.pattern:
        names = re.compile(reply.pattern).groupindex
        return tuple(name for name in names if name in DIMENSIONS)
    return tuple(field.quantity for field in reply.fields if field.quantity in DIMENSIONS)


def _reply(entries: Entries, limits: Limits) -> Reply:
    pattern = entries.text("pattern", "")
    fields = tuple(_field(each, limits) for each in entries.listed("fields"))
    separator = entries.text("separator", "")
    if bool(pattern) == bool(fields):
        found = "both a pattern and fields" if pattern else "neither fields nor a pattern"
        entries.refuse("fields", found, "one of the two says how the reply reads")
    if pattern:
        if separator:
            entries.refuse("separator", repr(separator), "a pattern holds its own: leave it out")
        has_status = _check_groups(entries, pattern, limits)
    else:
        _check_fields(entries, fields, separator)
        has_status = any(field.quantity == STATUS for field in fields)
    sets = {name: frozenset(entries.texts(name)) for name in (*_STATUS_SETS, *_WORD_SETS)}
    words = entries.inner("status_words")
    status_words = {name: words.text(name) for name in words.table}
    _check_statuses(entries, has_status, sets, status_words)
    _check_words(entries, sets)
    numbers = entries.inner("number_words")
    for word in numbers.table:
        if is_number(word) or not word:
            numbers.refuse(word, "a number already", "words that stand for a number")
    return Reply(
        fields=fields,
        separator=separator,
        pattern=pattern,
        status_ok=sets["status_ok"],
        status_words=status_words,
        over_range_status=sets["over_range_status"],
        over_range_words=sets["over_range_words"],
        not_ready_words=sets["not_ready_words"],
        number_words={word: numbers.number(word, -inf) for word in numbers.table},
        over_range_at=_over_range_at(entries),
    )


_WORD_SETS: Final = ("over_range_words", "not_ready_words")


def _over_range_at(entries: Entries) -> float:
    at = entries.number("over_range_at", -inf, default=Reply().over_range_at)
    if at <= 0:
        entries.refuse("over_range_at", f"{at:g}", "above 0: it holds for either sign")
    return at


def _field(entries: Entries, limits: Limits) -> Field:
    entries.only(*Field.__slots__)
    quantity = entries.text("quantity")
    unit = entries.text("unit", "")
    if quantity not in ("", STATUS, *DIMENSIONS, *limits):
        known = ", ".join((*DIMENSIONS, STATUS, *limits))
        entries.refuse("quantity", repr(quantity), f'"" to drop it, or one of {known}')
    if unit:
        if quantity in ("", STATUS):
            entries.refuse("unit", repr(unit), "neither the status nor a dropped field has one")
        _check_unit(entries, unit, quantity)
    return Field(quantity, unit, entries.switch("optional", default=False))


def _check_unit(entries: Entries, unit: str, quantity: str) -> None:
    dimension = DIMENSIONS.get(quantity, dimension_of_setting(quantity))
    if unit_of(unit, dimension) is None:
        known = f"a unit of {dimension}" if dimension else '"" or "%"'
        entries.refuse("unit", repr(unit), f"{quantity} is sent in {known}")


def _check_fields(entries: Entries, fields: tuple[Field, ...], separator: str) -> None:
    if separator and not _SEPARATOR.fullmatch(separator):
        entries.refuse(
            "separator", repr(separator), 'one to three signs that are in no number: ",", ";", " "'
        )
    if not separator and len(fields) > 1:
        entries.refuse("separator", "missing", f"{len(fields)} fields need one between them")
    names = [field.quantity for field in fields if field.quantity]
    for name in names:
        if names.count(name) > 1:
            entries.refuse("fields", f"{name} twice", "drop the other with an empty name")
    optional = [field.optional for field in fields]
    if optional != sorted(optional):
        entries.refuse("fields", "an optional field before another", "only the last may be missing")
    for field in fields:
        if field.optional and field.quantity:
            entries.refuse("fields", f"{field.quantity} optional", "only a dropped field may be")


def _check_groups(entries: Entries, pattern: str, limits: Limits) -> bool:
    """Refuse a pattern whose groups are not known; whether it has a status."""
    try:
        groups = re.compile(pattern).groupindex
    except re.error as error:
        entries.refuse("pattern", repr(pattern), f"not a regular expression: {error}")
    if reason := why_not(pattern):
        entries.refuse("pattern", repr(pattern), reason)
    named = (*DIMENSIONS, *limits)
    for group in groups:
        if group not in (STATUS, *named, *(f"{name}_unit" for name in named)):
            entries.refuse("pattern", f"group {group!r}", f"groups are {', '.join(named)}, status")
        if group.endswith("_unit") and group.removesuffix("_unit") not in groups:
            entries.refuse("pattern", f"group {group!r}", "the number it belongs to is missing")
    if not set(groups) & set(DIMENSIONS):
        entries.refuse("pattern", "no quantity", "a group (?P<current>...) is wanted")
    return STATUS in groups


def _check_statuses(
    entries: Entries, has_status: bool, sets: Mapping[str, frozenset[str]], words: Mapping[str, Any]
) -> None:
    if has_status and not sets["status_ok"]:
        entries.refuse("status_ok", "empty", "say which status is good: no other is believed")
    for name in (*_STATUS_SETS, "status_words"):
        if name in entries.table and not has_status:
            entries.refuse(name, "given", "the reply has no status: add one or leave this out")
    for name, other in (("over_range_status", sets["over_range_status"]), ("status_words", words)):
        for both in sorted(sets["status_ok"].intersection(other)):
            entries.refuse(name, f"{both!r} is also in status_ok", "a status is good or it is not")


def _check_words(entries: Entries, sets: Mapping[str, frozenset[str]]) -> None:
    for name in _WORD_SETS:
        for word in sorted(sets[name]):
            if is_number(word) or not word.strip():
                entries.refuse(name, repr(word), "a word is wanted; numbers: over_range_at")
    for both in sorted(sets["over_range_words"] & sets["not_ready_words"]):
        entries.refuse("not_ready_words", f"{both!r} is also in over_range_words", "one of them")


def _accuracy(entries: Entries, quantity: str) -> tuple[Accuracy, ...]:
    steps = [_step(each) for each in entries.listed(quantity)]
    ends = [step.up_to for step in steps]
    if ends != sorted(set(ends)):
        entries.refuse(quantity, "ranges out of order", "ascending up_to; only the last without")
    return tuple(steps)


def _step(entries: Entries) -> Accuracy:
    entries.only(*Accuracy.__slots__)
    up_to = entries.number("up_to", 0.0) if "up_to" in entries.table else inf
    if not up_to > 0:
        entries.refuse("up_to", f"{up_to:g}", "above 0")
    step = Accuracy(
        of_reading=entries.number("of_reading", 0.0, 1.0),
        floor=entries.number("floor", 0.0),
        up_to=up_to,
        noise=entries.number("noise", 0.0, 1.0, default=0.0),
        noise_floor=entries.number("noise_floor", 0.0, default=0.0),
        of_reactance=entries.number("of_reactance", 0.0, default=0.0),
    )
    if step.of_reading == step.floor == 0.0:
        entries.refuse("of_reading", "0, and floor 0", "no meter is exact: state one of them")
    return step
