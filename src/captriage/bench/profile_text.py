"""A profile from TOML text: every entry checked, and that they fit together."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from math import isfinite, isnan, nan
from typing import Any, Final

from captriage.bench.commands import holds, settings_named
from captriage.bench.confirm_text import read_confirms
from captriage.bench.entries import Entries
from captriage.bench.function_text import Limits, read_function
from captriage.bench.pattern_text import why_not
from captriage.bench.profile import (
    KINDS,
    NO_ERROR,
    Confirm,
    Function,
    Profile,
    Transcript,
    Transport,
)
from captriage.columns import FLAGS
from captriage.errors import ProfileError

SCHEMA: Final = 1
PERSON: Final = "person"
WITHOUT_NUMBER: Final = (*FLAGS, "below range")
PARITIES: Final = ("none", "even", "odd")
FLOWS: Final = ("none", "xon/xoff", "rts/cts")
STOP_BITS: Final = (1.0, 1.5, 2.0)
TOP: Final = (
    *("schema", "title", "kind", "speaks", "accuracy_from", "identity_ask", "identity"),
    *("error_ask", "error_none"),
    *("wake", "safe", "transport", "limits", "defaults", "actions", "confirm", "reply"),
    *("functions", "transcripts"),
)
TRANSCRIPT: Final = ("function", "settings", "lines", "reading", "flag")
_NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
_LINE_END: Final = re.compile(r"[\x00-\x1f]{1,4}")


def parse_profile(text: str, *, name: str, path: str = "") -> Profile:
    """Profile from the text of its file.

    Parameters
    ----------
    text : str
        TOML, schema 1; ``instruments/README.md`` has the table of keys.
    name : str
        What the profile is called.
    path : str
        Its file, for messages; ``name`` where there is none.

    Raises
    ------
    ProfileError
        ``<file>: <key>: <found>; <allowed or remedy>``.
    """
    where = path or name
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"{where}: not TOML: {error}; copy a profile that ships") from error
    top = Entries(data, where)
    if data.get("schema") != SCHEMA or isinstance(data["schema"], bool):
        top.refuse("schema", repr(data.get("schema", "missing")), f"write schema = {SCHEMA}")
    top.only(*TOP)
    kind = top.choice("kind", KINDS)
    transport = _transport(top, kind)
    limits = _limits(top.inner("limits"))
    profile = Profile(
        name=name,
        title=_said(top, "title"),
        kind=kind,
        speaks=_said(top, "speaks"),
        transport=transport,
        functions=_functions(top, transport, limits, person=kind == PERSON),
        accuracy_from=_said(top, "accuracy_from") if "accuracy_from" in data else "",
        identity_ask=_commands(top, "identity_ask", (top.text("identity_ask", ""),), {})[0],
        identity=_pattern(top, "identity", ".+"),
        error_ask=_commands(top, "error_ask", (top.text("error_ask", ""),), {})[0],
        error_none=_pattern(top, "error_none", NO_ERROR),
        wake=_commands(top, "wake", top.texts("wake"), {}),
        safe=_commands(top, "safe", top.texts("safe"), {}),
        actions=_actions(top.inner("actions"), limits),
        confirm=_confirms(top.inner("confirm"), top.inner("actions")),
        limits=limits,
        defaults=_settings(top.inner("defaults"), limits),
        path=path,
    )
    if "identity" in data and not profile.identity_ask:
        top.refuse("identity", "given", "say in identity_ask how the meter is asked for it")
    if "error_none" in data and not profile.error_ask:
        top.refuse("error_none", "given", "say in error_ask how the meter is asked for errors")
    _check_silence(top, profile)
    transcripts = tuple(_transcript(each, profile) for each in top.listed("transcripts"))
    return replace(profile, transcripts=transcripts)


def _said(entries: Entries, name: str) -> str:
    found = entries.text(name)
    if not found.strip():
        entries.refuse(name, repr(found), "say it in a few words")
    return found


def _pattern(entries: Entries, name: str, default: str) -> str:
    found = entries.text(name, default)
    try:
        re.compile(found)
    except re.error as error:
        entries.refuse(name, repr(found), f"not a regular expression: {error}")
    if reason := why_not(found):
        entries.refuse(name, repr(found), reason)
    return found


def _transport(top: Entries, kind: str) -> Transport:
    entries = top.inner("transport").only(*Transport.__slots__)
    if kind == PERSON:
        if entries.table:
            top.refuse("transport", "given", "a person is on no wire: leave it out")
        return Transport(asks=False)
    usual = Transport()
    stop_bits = entries.number("stop_bits", 1, 2, default=usual.stop_bits)
    if stop_bits not in STOP_BITS:
        entries.refuse("stop_bits", f"{stop_bits:g}", "1, 1.5 or 2")
    transport = Transport(
        write_end=_line_end(entries, "write_end", usual.write_end),
        read_end=_line_end(entries, "read_end", usual.read_end),
        baud=entries.whole("baud", 50, 4_000_000, default=usual.baud),
        data_bits=entries.whole("data_bits", 5, 8, default=usual.data_bits),
        parity=entries.choice("parity", PARITIES, usual.parity),
        stop_bits=stop_bits,
        flow=entries.choice("flow", FLOWS, usual.flow),
        timeout_s=entries.number("timeout_s", 0.01, 600, default=usual.timeout_s),
        pause_s=entries.number("pause_s", 0, 10, default=usual.pause_s),
        echo=entries.switch("echo", default=usual.echo),
        asks=entries.switch("asks", default=usual.asks),
    )
    if transport.echo and not transport.asks:
        entries.refuse("echo", "true", "a meter that is never asked echoes nothing")
    return transport


def _line_end(entries: Entries, name: str, default: str) -> str:
    found = entries.text(name, default)
    if not _LINE_END.fullmatch(found):
        entries.refuse(name, repr(found), r'one to four control characters: "\n", "\r", "\r\n"')
    return found


def _limits(entries: Entries) -> Limits:
    limits = {}
    for name, found in entries.table.items():
        if not _NAME.fullmatch(name):
            entries.refuse(name, "no name of a setting", "small letters, digits and _")
        pair = entries.as_list(name, found)
        if len(pair) != 2:
            entries.refuse(name, f"{len(pair)} numbers", "[lowest, highest] is wanted")
        low, high = (entries.as_number(name, each, -1e15, 1e15) for each in pair)
        if not low < high:
            entries.refuse(name, f"[{low:g}, {high:g}]", "the lower one first")
        limits[name] = (low, high)
    return limits


def _settings(entries: Entries, limits: Limits) -> dict[str, float]:
    """Settings given in a profile, each within its limits."""
    entries.only(*limits)
    return {name: entries.number(name, *limits[name]) for name in entries.table}


def _actions(entries: Entries, limits: Limits) -> dict[str, tuple[str, ...]]:
    for name in entries.table:
        if not _NAME.fullmatch(name):
            entries.refuse(name, "no name of an action", "small letters, digits and _")
    return {name: _commands(entries, name, entries.texts(name), limits) for name in entries.table}


def _confirms(entries: Entries, actions: Entries) -> dict[str, tuple[Confirm, ...]]:
    """How each action, itself checked, is confirmed."""
    entries.only(*actions.table)
    return {name: _confirmed(entries, name, actions.texts(name)) for name in entries.table}


def _confirmed(entries: Entries, name: str, commands: tuple[str, ...]) -> tuple[Confirm, ...]:
    """How commands, themselves checked, are confirmed."""
    confirms = read_confirms(entries, name, commands)
    _commands(entries, name, tuple(confirm.ask for confirm in confirms), {})
    return confirms


def _commands(
    entries: Entries, name: str, commands: tuple[str, ...], limits: Limits
) -> tuple[str, ...]:
    for command in commands:
        check_command(entries, name, command, limits)
    return commands


def check_command(entries: Entries, name: str, command: str, limits: Limits) -> None:
    """Refuse a command that cannot be sent as it stands, or whose settings have no limits."""
    if not command.isascii() or (command and not command.isprintable()):
        entries.refuse(name, ascii(command), "plain ASCII; line ends belong in [transport]")
    try:
        named = settings_named(command)
    except ValueError as error:
        entries.refuse(name, repr(command), f"{error}; a brace that is sent is written twice")
    for setting, form in named:
        if setting not in limits:
            known = f"it can be {', '.join(limits)}" if limits else "no setting can stand here"
            entries.refuse(name, f"setting {setting!r} without [limits]", known)
        for value in limits[setting]:
            if not holds(form, value):
                entries.refuse(
                    name, f"{{{setting}:{form}}} does not hold {value:g}", "write :g, or :.9g"
                )


def _functions(
    top: Entries, transport: Transport, limits: Limits, *, person: bool
) -> dict[str, Function]:
    entries = top.inner("functions")
    common = top.inner("reply")
    functions = {}
    for name in entries.table:
        if not _NAME.fullmatch(name):
            entries.refuse(name, "no name of a function", "small letters, digits and _")
        function = read_function(entries.inner(name), name, common, limits, person=person)
        own = entries.inner(name)
        _commands(own, "setup", function.setup, limits)
        confirms = _confirmed(own, "confirm", function.setup)
        _commands(own, "read", (function.read,), {})
        if transport.asks and not function.read:
            own.refuse("read", "missing", "write the question, or asks = false in [transport]")
        functions[name] = replace(function, confirm=confirms)
    if not functions:
        top.refuse("functions", "none", "write [functions.NAME] for what the meter measures")
    return functions


def _check_silence(top: Entries, profile: Profile) -> None:
    """Refuse anything to be sent to a meter that is never written to."""
    if profile.transport.asks:
        return
    sent: Mapping[str, Any] = {
        "identity_ask": profile.identity_ask,
        "error_ask": profile.error_ask,
        "wake": profile.wake,
        "safe": profile.safe,
        "actions": profile.actions,
        **{f"functions.{f.name}.setup": f.setup for f in profile.functions.values()},
        **{f"functions.{f.name}.confirm": f.confirm for f in profile.functions.values()},
        **{f"functions.{f.name}.read": f.read for f in profile.functions.values()},
    }
    for key, commands in sent.items():
        if commands:
            top.refuse(key, "given", "nothing is sent to a meter that is not asked: leave it out")


def _transcript(entries: Entries, profile: Profile) -> Transcript:
    entries.only(*TRANSCRIPT)
    function = profile.functions[entries.choice("function", profile.functions)]
    settings = _settings(entries.inner("settings"), profile.limits)
    lines = tuple(
        _line(entries, found) for found in entries.as_list("lines", entries.table.get("lines", []))
    )
    if not lines or len(lines[-1]) != 2:
        entries.refuse("lines", "no reply at the end", 'the last line is ["said", "answered"]')
    reading = entries.inner("reading").only(*function.measures)
    numbers = {name: _meant(reading, name) for name in function.measures}
    flag = entries.text("flag", "")
    if any(map(isnan, numbers.values())):
        if not flag.startswith(WITHOUT_NUMBER):
            allowed = ", ".join(WITHOUT_NUMBER)
            entries.refuse("flag", repr(flag), f"a reading without a number has one of {allowed}")
    elif flag:
        entries.refuse("flag", repr(flag), "a flag explains why a number is nan; none is")
    return Transcript(function.name, settings, lines, numbers, flag)


def _line(entries: Entries, found: object) -> tuple[str, ...]:
    texts = tuple(entries.as_text("lines", each) for each in entries.as_list("lines", found))
    if len(texts) not in (1, 2):
        entries.refuse("lines", f"{len(texts)} texts", '["said"] or ["said", "answered"]')
    return texts


def _meant(reading: Entries, name: str) -> float:
    found = reading.take(name, ..., lambda each: each)
    if isinstance(found, float) and isnan(found):
        return nan
    if isinstance(found, bool) or not isinstance(found, int | float) or not isfinite(found):
        reading.refuse(name, "missing" if found is ... else repr(found), "a number, or nan")
    return float(found)
