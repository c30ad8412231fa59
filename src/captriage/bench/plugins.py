"""Meters that no TOML can describe: classes that other packages offer.

A package declares them in the entry point group ``captriage.meters``, one name a class. The
class is called with the address and the clock, ``Class(address, clock)``, connects to nothing
before ``open``, and has the attributes and methods of
:class:`captriage.bench.measured.Reads`, with the errors named there and no others.
"""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from typing import TYPE_CHECKING, Final, Protocol

from captriage.errors import ProfileError

if TYPE_CHECKING:
    from captriage.bench.measured import Clock, Reads

GROUP: Final = "captriage.meters"
METHODS: Final = ("open", "use", "read", "act", "reopen", "close")


class MeterClass(Protocol):
    """What an entry point has to name."""

    def __call__(self, address: str, clock: Clock) -> Reads:
        """A meter at an address; not connected yet."""


def meter_plugins() -> dict[str, EntryPoint]:
    """Every meter class on offer, by name, none of them imported.

    Raises
    ------
    ProfileError
        Two packages offer classes of one name.
    """
    found: dict[str, EntryPoint] = {}
    for point in entry_points(group=GROUP):
        other = found.setdefault(point.name, point)
        if other.value != point.value:
            raise ProfileError(
                f"meter {point.name}: offered as {other.value} and as {point.value}; "
                "uninstall one of the two packages"
            )
    return found


def load_meter_class(name: str) -> MeterClass:
    """Meter class of this name, imported.

    Raises
    ------
    ProfileError
        There is none, it cannot be imported, or it lacks a method that a meter has.
    """
    points = meter_plugins()
    if name not in points:
        known = ", ".join(sorted(points)) or "none is installed"
        raise ProfileError(f"meter {name}: no class of this name; there are: {known}")
    point = points[name]
    try:
        loaded = point.load()
    except Exception as error:  # whatever foreign code does at import
        raise ProfileError(
            f"meter {name}: {point.value} cannot be imported ({type(error).__name__}: {error}); "
            "correct or uninstall its package"
        ) from error
    missing = [method for method in METHODS if not callable(getattr(loaded, method, None))]
    if missing or not callable(loaded):
        raise ProfileError(
            f"meter {name}: {point.value} has no {', '.join(missing) or 'constructor'}; "
            f"a meter class has {', '.join(METHODS)}"
        )
    made: MeterClass = loaded
    return made
