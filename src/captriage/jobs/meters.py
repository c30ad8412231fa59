"""What a user can ask about meters: list, look for, try, prove."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from captriage.errors import ProfileError
from captriage.report.meter_list import FoundRow, MeterRow, Proof, TakenRow, TrialShown

if TYPE_CHECKING:
    from captriage.bench.trying import Trial

TRIED: Final = "meter"
"""What messages call a meter that is tried."""


def list_meters() -> list[MeterRow]:
    """Every profile, the user's own and those that ship, and every meter class of others.

    One that cannot be used says why.
    """
    from captriage.bench.plugins import meter_plugins
    from captriage.bench.profiles import load_profile, profile_paths, shipped_folder

    rows = []
    for name, path in profile_paths().items():
        source = "" if path.parent == shipped_folder() else str(path)
        try:
            profile = load_profile(path)
        except ProfileError as error:
            rows.append(MeterRow(name, "", "", "", {}, source, str(error)))
            continue
        functions = {each.name: list(each.measures) for each in profile.functions.values()}
        rows.append(MeterRow(name, profile.title, profile.kind, profile.speaks, functions, source))
    rows += [
        MeterRow(name, "a class of another package", "other", "", {}, point.value)
        for name, point in meter_plugins().items()
    ]
    return rows


def sent_by_scan(*, ask: bool) -> tuple[str, ...]:
    """What looking for instruments sends, to be read before."""
    from captriage.bench.scan import SENT, SENT_TO_ASK

    return (*SENT, SENT_TO_ASK) if ask else SENT


def scan(*, backend: str = "@py", ask: bool = False) -> Iterator[FoundRow]:
    """Instruments that can be found, one by one.

    Raises
    ------
    MeterError
        The backend is not there.
    """
    from captriage.bench import scan as scanning
    from captriage.bench.clock import SystemClock

    for found in scanning.scan(clock=SystemClock(), backend=backend, ask=ask):
        yield FoundRow(found.address, found.what, found.identity)


def try_meter(
    address: str,
    profile: str,
    *,
    function: str | None = None,
    readings: int = 3,
    backend: str = "@py",
    tell: Callable[[str], None],
    prompt: Callable[[str], str] | None = None,
) -> TrialShown:
    """Connect to a meter, take a few readings, and where that fails look for the cause.

    Parameters
    ----------
    address : str
        VISA name, or "keyboard".
    profile : str
        Name or path of the profile to try.
    function : str, optional
        What to read; the first of the profile where not given.
    readings : int
        How many to take.
    backend : str
        PyVISA backend.
    tell : callable
        Gets a line on what is being done.
    prompt : callable, optional
        Asks the person at the keyboard.

    Raises
    ------
    ProfileError
        The profile cannot be used, or has no such function.
    MeterError
        The meter cannot be connected to.
    """
    from captriage.bench import trying
    from captriage.bench.choosing import open_meter
    from captriage.bench.clock import SystemClock

    meter = open_meter(
        profile, address, name=TRIED, clock=SystemClock(), backend=backend, prompt=prompt
    )
    trial = trying.try_meter(
        meter, function=function, readings=readings, tell=tell, backend=backend
    )
    return _shown(trial, address, profile)


def _shown(trial: Trial, address: str, profile: str) -> TrialShown:
    taken = [
        TakenRow(
            answer.raw,
            [(each.quantity, each.value, each.uncertainty, each.flag) for each in answer.values],
        )
        for answer in trial.answers
    ]
    return TrialShown(
        address,
        profile,
        trial.function,
        trial.identity,
        taken,
        trial.problem,
        trial.causes,
        trial.thrown_away,
    )


def prove(path: Path) -> Proof:
    """What does not hold in a profile.

    Raises
    ------
    ProfileError
        It cannot be read, or holds something it may not.
    """
    from captriage.bench.profiles import load_profile
    from captriage.bench.proving import prove as proved

    profile = load_profile(path)
    held = [(each.function, each.reading, each.flag) for each in profile.transcripts]
    return Proof(str(path), proved(profile), held)
