"""Where what is printed goes: the terminal in whatever encoding, or a file written whole."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final, TextIO

from captriage.errors import CapTriageError
from captriage.report.ascii_signs import ascii_only

SUFFIXES: Final = {
    # ending: format; the first ending of each is the one that is advised
    ".txt": "table",
    ".csv": "csv",
    ".json": "json",
    ".md": "markdown",
    ".html": "html",
    ".htm": "html",
}


def plain(error: UnicodeError) -> tuple[str, int]:
    """Encoding error handler: the signs of the trade spelt out, anything else "?"."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return ascii_only(error.object[error.start : error.end]), error.end


codecs.register_error("captriage-plain", plain)


def speak_plainly(*streams: TextIO) -> None:
    """Let these streams print any text, however poor their encoding."""
    for stream in streams:
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="captriage-plain")


def chosen_format(format_: str | None, out: Path | None, allowed: Sequence[str]) -> str:
    """Format asked for, else the one that the name of the output says, else the first allowed.

    Raises
    ------
    CapTriageError
        The name has an ending that says no allowed format, and none is asked for.
    """
    if format_ is not None:
        return format_
    if out is None or not out.suffix:
        return allowed[0]
    by_name = SUFFIXES.get(out.suffix.lower(), "")
    if by_name in allowed:
        return by_name
    endings = [ending for ending, name in SUFFIXES.items() if name in allowed]
    raise CapTriageError(
        f"{out}: the ending {out.suffix} names no format; "
        f"end the name of --out in {', '.join(endings)}, or give --format"
    )


def folder(path: Path) -> Path:
    """The folder of this name, made where it is missing.

    Raises
    ------
    CapTriageError
        It cannot be made, or the name is that of a file.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CapTriageError(
            f"{path}: {error.strerror}; give --out the name of a folder that may be made"
        ) from error
    return path


@contextmanager
def destination(out: Path | None, *, inputs: Sequence[Path] = ()) -> Iterator[TextIO]:
    """Stream to write an answer to; a file appears whole under its name, or not at all.

    Parameters
    ----------
    out : Path or None
        File to write; standard output where there is none.
    inputs : sequence of Path
        Files that may not be overwritten: the sheets and the policy.

    Yields
    ------
    TextIO
        UTF-8, line ends as they are written.

    Raises
    ------
    CapTriageError
        Where the file cannot be made, or is one of the inputs.
    """
    if out is None:
        yield sys.stdout
        return
    if out.is_dir():
        raise CapTriageError(f"{out}: is a folder; give --out the name of a file in it")
    if any(same_file(out, sheet) for sheet in inputs):
        raise CapTriageError(f"{out}: is being read; choose another name for --out")
    whole = not out.exists() or out.is_file()  # a device or a pipe is written as it stands
    written = out.with_name(f".{out.name}.{os.getpid()}.part") if whole else out
    try:
        stream = written.open("w", encoding="utf-8", errors="captriage-plain", newline="")
    except OSError as error:
        raise CapTriageError(
            f"{out}: {error.strerror}; choose a folder that exists and may be written to"
        ) from error
    try:
        with stream:
            yield stream
        if whole:
            written.replace(out)
    except BaseException:
        if whole:
            written.unlink(missing_ok=True)
        raise


def same_file(one: Path, other: Path) -> bool:
    """Whether both names lead to one existing file."""
    return one.exists() and other.exists() and one.samefile(other)
