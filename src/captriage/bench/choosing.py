"""The meter at an address: on a wire, at the keyboard, or a class of another package."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from captriage.bench.meter import Meter
from captriage.bench.profile import Profile
from captriage.bench.profiles import load_profile, profile_paths
from captriage.errors import ProfileError

if TYPE_CHECKING:
    from captriage.bench.measured import Clock, Reads

KEYBOARD: Final = "keyboard"
"""Address of the person who reads a meter and types."""

PERSON: Final = "person"
"""Kind of the profiles that are for the keyboard."""


def open_meter(
    profile: Profile | str,
    address: str,
    *,
    name: str,
    clock: Clock,
    backend: str = "@py",
    prompt: Callable[[str], str] | None = None,
) -> Reads:
    """The meter at an address, whichever way it is spoken to; its ``open()`` is the caller's.

    Parameters
    ----------
    profile : Profile or str
        A profile, the name or path of one, or the name of a class that another package
        offers; where both exist, the profile.
    address : str
        VISA name, "keyboard", or whatever such a class takes.
    name : str
        What messages call it: "bridge".
    clock : Clock
        Stamps the answers.
    backend : str
        PyVISA backend; the pure-Python one unless said.
    prompt : callable, optional
        Shows a line to the person at the keyboard and returns what was typed.

    Raises
    ------
    ProfileError
        The profile is not known, cannot be used, or does not go with the address.
    """
    if isinstance(profile, str):
        if profile not in profile_paths():
            from captriage.bench.plugins import load_meter_class, meter_plugins

            if profile in meter_plugins():
                made = load_meter_class(profile)(address, clock)
                made.name = name
                return made
        profile = load_profile(profile)
    if (address == KEYBOARD) != (profile.kind == PERSON):
        raise ProfileError(
            f"{name}: {profile.name} at {address}; a profile of the kind person, such as typed, "
            "and the address keyboard go together"
        )
    if address != KEYBOARD:
        return Meter(profile, address, name=name, clock=clock, backend=backend)
    if prompt is None:
        raise ProfileError(f"{name}: there is nobody to type here; give the address of a meter")
    from captriage.bench.typed import TypedMeter

    return TypedMeter(profile, prompt, name=name, clock=clock)
