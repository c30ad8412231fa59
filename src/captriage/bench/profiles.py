"""Where profiles lie, and loading one: the user's own folder first, then those that ship."""

from __future__ import annotations

import os
from collections.abc import Iterator
from difflib import get_close_matches
from importlib.resources import files
from pathlib import Path
from typing import Final

from captriage.bench.profile import Profile
from captriage.bench.profile_text import parse_profile
from captriage.errors import ProfileError
from captriage.plain_files import short_text

FOLDER_VARIABLE: Final = "CAPTRIAGE_INSTRUMENTS"
ENDING: Final = ".toml"


def own_folder() -> Path:
    """Folder of the user's own profiles; it need not exist.

    ``CAPTRIAGE_INSTRUMENTS`` where that is set, else ``captriage/instruments`` in the
    configuration folder of the XDG base directory specification.

    Raises
    ------
    ProfileError
        ``CAPTRIAGE_INSTRUMENTS`` names no folder.
    """
    named = os.environ.get(FOLDER_VARIABLE, "")
    if named:
        folder = Path(named).expanduser()
        if not folder.is_dir():
            raise ProfileError(
                f"{FOLDER_VARIABLE}: {named!r} is no folder; name one, or unset the variable"
            )
        return folder
    base = os.environ.get("XDG_CONFIG_HOME", "")
    # The specification has a relative path ignored.
    config = Path(base) if base and Path(base).is_absolute() else Path.home() / ".config"
    return config / "captriage" / "instruments"


def shipped_folder() -> Path:
    """Folder of the profiles that ship: in the package, or in a checkout beside it."""
    packaged = Path(str(files("captriage") / "instruments"))
    return packaged if packaged.is_dir() else Path(__file__).parents[3] / "instruments"


def profile_paths() -> dict[str, Path]:
    """Name of every profile and its file; where two have one name, the user's own.

    Raises
    ------
    ProfileError
        As :func:`own_folder`.
    """
    found: dict[str, Path] = {}
    for path in (*_in_folder(own_folder()), *_in_folder(shipped_folder())):
        found.setdefault(path.stem, path)
    return found


def _in_folder(folder: Path) -> Iterator[Path]:
    return iter(sorted(folder.glob(f"*{ENDING}")))


def load_profile(name_or_path: str | Path) -> Profile:
    """Profile by name, or from a TOML file.

    Parameters
    ----------
    name_or_path : str or Path
        "lcr_scpi_values_status", or a path: anything that ends in .toml or has a folder.

    Raises
    ------
    ProfileError
        There is none, it cannot be read, or it holds something it may not: an unknown or
        missing key, a number out of its range, entries that contradict each other.
    """
    text = str(name_or_path)
    if isinstance(name_or_path, Path) or text.endswith(ENDING) or Path(text).name != text:
        return _load(Path(text).expanduser())
    paths = profile_paths()
    if text not in paths:
        near = get_close_matches(text, paths, n=1)
        meant = f"{near[0]} is probably meant; " if near else ""
        raise ProfileError(
            f"profile: {text!r} is not known; {meant}there are {', '.join(sorted(paths))}, "
            f"and your own belong in {own_folder()}"
        )
    return _load(paths[text])


def _load(path: Path) -> Profile:
    try:
        text = short_text(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not UTF-8 text"
        raise ProfileError(f"{path}: cannot be read ({reason}); name a TOML file") from error
    return parse_profile(text, name=path.stem, path=str(path))
