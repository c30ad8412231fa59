"""Which meter is meant, and the way to it: by its name in the bench file, by address, by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from captriage.bench.sitting import Show
from captriage.errors import ProfileError

if TYPE_CHECKING:
    from captriage.bench.benches import BenchMeter
    from captriage.bench.measured import Clock, Reads
    from captriage.bench.profile import Profile

KEYBOARD: Final = "keyboard"
"""Address of the person who types what a meter shows."""

TYPED_PROFILE: Final = "typed"


@dataclass(frozen=True, slots=True)
class MeterAt:
    """A meter that is meant: what messages call it, its address and its profile's name."""

    name: str
    address: str
    profile: str
    backend: str = "@py"

    @property
    def by_hand(self) -> bool:
        """Whether a person types what it shows."""
        return self.address == KEYBOARD


@dataclass(frozen=True, slots=True)
class OpenMeter:
    """A meter that is open: itself, its profile where it has one, who it says it is."""

    meant: MeterAt
    reads: Reads
    profile: Profile | None
    identity: str

    @property
    def unread(self) -> tuple[str, ...]:
        """What it was set to without saying so itself: names of settings, "function"."""
        if self.meant.by_hand:
            return ()  # the person says what it is set to
        return getattr(self.reads, "unread", tuple(self.reads.settings))


def meter_meant(
    meant: str,
    bench: Mapping[str, BenchMeter],
    *,
    profile: str | None = None,
    backend: str = "@py",
) -> MeterAt:
    """The meter of this name on the bench, or at this address.

    Parameters
    ----------
    meant : str
        Name in the bench file, a VISA name, or "keyboard".
    bench : mapping of str to BenchMeter
        The bench file; empty where there is none.
    profile : str, optional
        Profile of a meter at an address, or another one than the bench file has.
    backend : str
        PyVISA backend.

    Raises
    ------
    ProfileError
        It is neither, or an address without a profile.
    """
    if meant == KEYBOARD:
        return MeterAt(KEYBOARD, KEYBOARD, profile or TYPED_PROFILE, backend)
    if meant in bench:
        known = bench[meant]
        return MeterAt(meant, known.address, profile or known.profile, backend)
    if "::" not in meant:
        there = ", ".join(bench) or "no bench file was given"
        raise ProfileError(
            f"meter {meant}: not on the bench ({there}); name one of --bench, give an address "
            "such as TCPIP::host::5025::SOCKET with --as PROFILE, or keyboard"
        )
    if profile is None:
        raise ProfileError(
            f"meter {meant}: what kind of meter is it? Give its profile with --as; "
            "'captriage meters' lists them"
        )
    return MeterAt("meter", meant, profile, backend)


@contextmanager
def opened(
    meant: MeterAt, *, typist: Callable[[str], str], show: Show, clock: Clock
) -> Iterator[OpenMeter]:
    """The meter, open; it is made safe if it was changed, and let go, whatever happens.

    Raises
    ------
    ProfileError
        The profile is not known or cannot be used.
    Gone, Silent, Garbled
        No meter, or not the one the profile describes.
    """
    from captriage.bench.choosing import open_meter
    from captriage.bench.meter import parting_words

    reads = open_meter(
        meant.profile,
        meant.address,
        name=meant.name,
        clock=clock,
        backend=meant.backend,
        prompt=typist,
    )
    identity = reads.open()
    try:
        yield OpenMeter(meant, reads, getattr(reads, "profile", None), identity)
    finally:
        said = parting_words(reads)
        if said:
            show.tell("safe", said)
        reads.close()
