"""The bench file: which meters stand on the bench, at which addresses, so that none is retyped."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from captriage.bench.entries import Entries
from captriage.errors import ProfileError
from captriage.plain_files import short_text

ROLES: Final = {
    "bridge": "reads capacitance with esr or tan δ",
    "voltmeter": "across the clips",
    "ammeter": "in the leakage jig",
    "supply": "of the leakage jig",
    "stream": "sends its readings unasked",
    "query": "another meter that is asked",
    "thermometer": "on the case of the part in the jig",
}
HAND: Final = "hand"
"""Table of the rehearsal's own: how its simulated hand is told what to do. No meter."""


@dataclass(frozen=True, slots=True)
class BenchMeter:
    """One meter of the bench: what it is for, where it is, and the profile it fits."""

    role: str  # key of ROLES
    address: str
    profile: str


def load_bench(path: str | Path) -> dict[str, BenchMeter]:
    """Meters of a bench file, by role.

    Parameters
    ----------
    path : str or Path
        TOML: a table for each meter, named for its role, with ``address`` and ``profile``.

    Raises
    ------
    ProfileError
        The file cannot be read, or holds something it may not.
    """
    path = Path(path).expanduser()
    where = str(path)
    try:
        table = tomllib.loads(short_text(path))
    except OSError as error:
        raise ProfileError(
            f"{where}: {error.strerror or error}; name a bench file, such as 'captriage rehearse' "
            "writes"
        ) from error
    except ValueError as error:  # also what is not UTF-8
        raise ProfileError(f"{where}: {error}; correct the bench file") from error
    top = Entries(table, where).only(*ROLES, HAND)
    bench: dict[str, BenchMeter] = {}
    for role in table:
        if role == HAND:
            continue
        entries = top.inner(role).only("address", "profile")
        meter = BenchMeter(role, _filled(entries, "address"), _filled(entries, "profile"))
        for other in bench.values():
            if "::" in meter.address and other.address == meter.address:
                entries.refuse(
                    "address", repr(meter.address), f"{other.role} is there: one meter, one role"
                )
        bench[role] = meter
    if not bench:
        raise ProfileError(f"{where}: no meter; write a table for one of {', '.join(ROLES)}")
    return bench


def _filled(entries: Entries, name: str) -> str:
    text = entries.text(name).strip()
    if not text:
        entries.refuse(name, "empty", "write it")
    return text
