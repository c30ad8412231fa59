"""Trying a meter with a profile: who answers, a few readings, and if not, why not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from captriage.bench.lines import SEE_TRY
from captriage.bench.meter import Meter, parting_words
from captriage.bench.pattern_text import matches
from captriage.bench.probing import causes
from captriage.bench.profiles import load_profile, profile_paths
from captriage.bench.replies import understand
from captriage.errors import Garbled, Gone, MeterError, ProfileError, Unset

if TYPE_CHECKING:
    from captriage.bench.measured import Answer, Reads
    from captriage.bench.profile import Function, Profile

ANYBODY: Final = ".+"
"""Identity pattern of a profile that takes any meter of its kind."""

ANOTHER_KIND: Final = (
    "it tells who it is, but answers no other question of this profile: it may be another kind of "
    "meter; 'captriage meters' lists the profiles"
)
"""Said of a meter that tells its identity, and then nothing."""

NOT_AS_TOLD: Final = (
    "it answers, so the wire is as it should be: see in its manual what stands in place of that "
    "command, then copy the profile and write it in; what a meter cannot be asked for is taken "
    "out of confirm, and read on its display"
)
"""Said of a meter that does not take its settings."""


@dataclass(slots=True)
class Trial:
    """How it went."""

    function: str
    identity: str = ""
    answers: list[Answer] = field(default_factory=list)
    problem: str = ""
    """What went wrong; "" where all readings were taken."""
    causes: list[str] = field(default_factory=list)
    """What to do about it, as far as was found."""
    thrown_away: int = 0
    """Lines that came late or unasked."""


def try_meter(
    meter: Reads,
    *,
    function: str | None = None,
    readings: int = 3,
    tell: Callable[[str], None],
    backend: str = "@py",
) -> Trial:
    """Connect, ask who it is, take a few readings; where that fails, look for the cause.

    Parameters
    ----------
    meter : Reads
        Not open; it is closed at the end.
    function : str, optional
        What to read; the first of its profile where not given.
    readings : int
        How many to take.
    tell : callable
        Gets a line on what is being done.
    backend : str
        PyVISA backend, for looking for the cause.

    Raises
    ------
    ProfileError
        The profile has no such function.
    Gone
        It cannot be connected to; the message says why.
    """
    profile: Profile | None = getattr(meter, "profile", None)
    function = function or (next(iter(profile.functions)) if profile else None)
    if function is None:
        raise ProfileError(f"{meter.name}: which function? Name one with --function")
    if profile and function not in profile.functions:
        raise ProfileError(
            f"{meter.name}: {function}: no function of {profile.name}; "
            f"it has {', '.join(profile.functions)}"
        )
    trial, refused = Trial(function), False
    if isinstance(meter, Meter):
        meter.wire.open()
    try:
        trial.identity = meter.open()
        meter.use(function)
        for _ in range(readings):
            trial.answers.append(meter.read())
    except MeterError as error:
        trial.problem = str(error).removesuffix(SEE_TRY)
        refused = isinstance(error, Unset)
    finally:
        if said := parting_words(meter):
            tell(said)
        meter.close()
    if isinstance(meter, Meter):
        trial.thrown_away = meter.wire.thrown_away
        if refused:
            trial.causes = [NOT_AS_TOLD]
        elif trial.problem:
            tell("That failed; looking for the cause.")
            trial.causes = _causes(meter, function, backend=backend, tell=tell)
    return trial


def _causes(meter: Meter, function: str, *, backend: str, tell: Callable[[str], None]) -> list[str]:
    """What may be done, from what was understood last."""
    found = _other_identity(meter) or _other_reply(meter, function)
    if found:
        return found
    address = meter.wire.address
    try:
        found = causes(meter.profile, address, name=meter.name, backend=backend, tell=tell)
    except Gone as error:  # a meter may need a moment after a caller has gone
        found = [str(error)]
    silent = meter.wire.identity and not meter.last_reply
    return [*found, ANOTHER_KIND] if silent else found


def _other_identity(meter: Meter) -> list[str]:
    """Another kind of meter answers: the profiles made for it."""
    said = meter.wire.identity
    if not said or matches(meter.profile.identity, said):
        return []
    fitting = [
        each.name
        for each in _others(meter.profile)
        if each.identity != ANYBODY and matches(each.identity, said)
    ]
    named = f"try it --as {' or '.join(fitting)}" if fitting else "write a profile for it"
    return [f"{said!r} is another meter than the profile is for: {named}"]


def _other_reply(meter: Meter, function: str) -> list[str]:
    """The reply has another shape: the profiles that understand it."""
    reply, own = meter.last_reply, meter.profile.functions[function]
    if not reply or _understood(reply, own):
        return []
    fitting = [
        other.name
        for other in _others(meter.profile)
        if any(
            set(each.measures) == set(own.measures) and _understood(reply, each)
            for each in other.functions.values()
        )
    ]
    if not fitting:
        return [
            f"{reply!r} is no reply of this profile, nor of another here that measures the same: "
            "copy the nearest and write its reply in"
        ]
    return [f"{reply!r} is a reply for another profile: try it --as {' or '.join(fitting)}"]


def _understood(reply: str, function: Function) -> bool:
    try:
        understand(reply, function, settings={})
    except Garbled:
        return False
    return True


def _others(profile: Profile) -> Iterator[Profile]:
    """Profiles of the same kind that can be used."""
    for name, path in profile_paths().items():
        if name == profile.name:
            continue
        try:
            other = load_profile(path)
        except ProfileError:  # a list of the profiles is where that is said
            continue
        if other.kind == profile.kind or profile.identity_ask == other.identity_ask != "":
            yield other
