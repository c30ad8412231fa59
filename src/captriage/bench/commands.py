"""Commands of a profile and the settings that stand in them: "FREQ {frequency_hz:g}"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from string import Formatter
from typing import Final

from captriage.bench.profile import Profile
from captriage.errors import ProfileError

_FORM: Final = re.compile(r"[+]?0?[0-9]?[0-9]?(\.[0-9]{1,2})?[eEfFgG]?")  # a width fills memory
EXACT_TO: Final = 1e-5  # share by which a setting may be rounded in a command


def settings_named(command: str) -> tuple[tuple[str, str], ...]:
    """Name and format of each placeholder in a command, in its order.

    Raises
    ------
    ValueError
        Braces do not match.
    """
    return tuple(
        (name, (form or "") if conversion is None else f"!{conversion}")
        for _, name, form, conversion in Formatter().parse(command)
        if name is not None
    )


def settings_within(profile: Profile, asked: Mapping[str, float]) -> dict[str, float]:
    """Settings of a meter: the profile's defaults, and those asked for in their place.

    Raises
    ------
    ProfileError
        One is not known to the profile, or lies outside its limits: never clipped.
    """
    for name, value in asked.items():
        if name not in profile.limits:
            known = ", ".join(profile.limits) or "none"
            raise ProfileError(f"{profile.name}: {name}: no such setting; it has {known}")
        low, high = profile.limits[name]
        if not low <= value <= high:
            raise ProfileError(
                f"{profile.name}: {name}: {value:g}; {low:g} to {high:g} is what it can do"
            )
    return {**profile.defaults, **asked}


def holds(form: str, value: float) -> bool:
    """Whether a format (":g" and the like, without the colon) keeps a value as it is."""
    if not _FORM.fullmatch(form):
        return False
    read_back = float(format(value, form))
    return abs(read_back - value) <= EXACT_TO * abs(value)


def filled_in(
    commands: Sequence[str], settings: Mapping[str, float], *, where: str
) -> tuple[str, ...]:
    """Commands as they are sent.

    Raises
    ------
    ProfileError
        A setting that a command needs was not given, or the command would round it.
    """
    for command in commands:
        for name, form in settings_named(command):
            if name not in settings:
                raise ProfileError(f"{where}: {name}: not set; give it a value")
            if not holds(form, settings[name]):
                raise ProfileError(
                    f"{where}: {name}: {settings[name]:.9g} would be sent as "
                    f"{format(settings[name], form)}; ask for what {command!r} can say"
                )
    return tuple(command.format_map(settings) for command in commands)
