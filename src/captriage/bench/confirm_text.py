"""How a profile has its commands confirmed: questions, and the answers that say so."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from captriage.bench.commands import settings_named
from captriage.bench.entries import Entries
from captriage.bench.profile import Confirm

FORM: Final = '["question", "answer"]'


def read_confirms(entries: Entries, name: str, commands: Sequence[str]) -> tuple[Confirm, ...]:
    """The entry ``name``: ``[["FREQ?", "{frequency_hz:g}"], ["FUNC?", "CURR", "CURR:DC"]]``.

    Parameters
    ----------
    entries : Entries
        The table that it stands in.
    name : str
        Its key.
    commands : sequence of str
        What is confirmed. A setting that they do not set cannot be.

    Raises
    ------
    ProfileError
        It has another form.
    """
    sent = {setting for command in commands for setting, _ in settings_named(command)}
    return tuple(
        _confirm(entries, name, entries.as_list(name, found), sent)
        for found in entries.as_list(name, entries.table.get(name, []))
    )


def _confirm(entries: Entries, name: str, found: list[object], sent: set[str]) -> Confirm:
    ask, *answers = [entries.as_text(name, each) for each in found] or [""]
    if not ask.strip() or not answers or not all(answer.strip() for answer in answers):
        entries.refuse(name, repr(found), f"{FORM}, or several answers that mean the same")
    named = [setting for answer in answers for setting, _ in _settings(entries, name, answer)]
    if not named:
        return Confirm(ask, answers=tuple(answer.format() for answer in answers))
    whole = answers[0]
    if len(answers) > 1 or len(named) > 1 or not (whole[0] == "{" and whole[-1] == "}"):
        entries.refuse(name, repr(found), "a setting is an answer of its own: '{frequency_hz:g}'")
    if named[0] not in sent:
        entries.refuse(name, f"{named[0]!r}, which no command sets", "confirm what is sent")
    return Confirm(ask, setting=named[0])


def _settings(entries: Entries, name: str, answer: str) -> tuple[tuple[str, str], ...]:
    try:
        return settings_named(answer)
    except ValueError as error:
        entries.refuse(name, repr(answer), f"{error}; a brace that is meant is written twice")
