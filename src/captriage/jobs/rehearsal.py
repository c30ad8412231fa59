"""Rehearse: run the simulated bench, write its bench file, obey what is typed, tidy up."""

from __future__ import annotations

import json
import os
import queue
import select
import socket
import sys
import threading
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from captriage.bench.benches import ROLES
from captriage.bench.rehearsal.drawer import REFORMING, SPARES, demo_drawer
from captriage.errors import CapTriageError, MeterError
from captriage.jobs.rehearsal_welcome import welcome, wrapped
from captriage.plain_files import short_text
from captriage.report.terminal import WIDTH

if TYPE_CHECKING:
    from captriage.bench.rehearsal.bench import RehearsalBench

MARK: Final = "# Written by 'captriage rehearse', which removes it when it ends. All simulated."
LOOK_S: Final = 0.2
"""How often the end is looked for while nothing is typed."""
READING_S: Final = 0.05
"""What the simulated meters take over a reading."""

Tell = Callable[[str], None]


def rehearse(
    out: Path,
    *,
    tell: Tell,
    stopped: threading.Event,
    drawer: str = SPARES,
    pause_s: float = 1.0,
    seed: int = 0,
    automatic: bool | None = None,
    dialect: str = "values_status",
    port: int = 0,
    hislip: bool = False,
    echo: bool = False,
    until_done: bool = False,
    width: int = WIDTH,
) -> None:
    """Run the simulated bench until it is told to stop.

    Parameters
    ----------
    out : Path
        Bench file to write; it is removed at the end.
    tell : callable
        Given each line for the user; only ever called from this thread.
    stopped : threading.Event
        Set to end the rehearsal; it is set by the command ``stop`` too.
    drawer : str
        Key of :data:`captriage.bench.rehearsal.drawer.DRAWERS`.
    pause_s, seed, dialect, hislip, echo
        As of :class:`captriage.bench.rehearsal.bench.RehearsalBench`.
    automatic : bool, optional
        Whether the hand works by itself; not told, it does so with the spares alone.
    port : int
        TCP port of the bridge, 0 for any that is free.
    until_done : bool
        End when the drawer is done and nobody is connected to the bridge any more.
    width : int
        Columns of a line that is told.

    Raises
    ------
    CapTriageError
        The bench file would overwrite another, or belongs to a rehearsal that runs.
    MeterError
        The port is in use.
    """
    from captriage.bench.rehearsal.bench import RehearsalBench

    said: queue.SimpleQueue[str] = queue.SimpleQueue()
    bench = RehearsalBench(
        demo_drawer(drawer),
        pause_s=pause_s,
        seed=seed,
        automatic=drawer == SPARES if automatic is None else automatic,
        dialect=dialect,
        bridge_port=port,
        hislip=hislip,
        echo=echo,
        reading_s=READING_S,
        reforming=drawer == REFORMING,
        tell=said.put,
        stopped=stopped,
    )
    refuse_taken(out)
    with bench, bench_file(bench, out):
        for line in welcome(bench, out, drawer=drawer, width=width):
            tell(line)

        def told(text: str) -> None:
            for line in wrapped(text, width):
                tell(line)

        attend(bench, said, until_done=until_done, tell=told)


def bench_text(bench: RehearsalBench) -> str:
    """Bench file that leads to those meters of a running rehearsal that such a file may name."""
    lines = [MARK]
    for name, address in bench.addresses.items():
        if name not in ROLES:
            continue
        profile = json.dumps(bench.profiles[name])
        lines += ["", f"[{name}]", f"address = {json.dumps(address)}", f"profile = {profile}"]
    lines += ["", "[hand]", f"address = {json.dumps(bench.control_address)}", ""]
    return "\n".join(lines)


@contextmanager
def bench_file(bench: RehearsalBench, path: Path) -> Iterator[Path]:
    """Write the bench file, and remove it afterwards if it is still what was written.

    The file of a rehearsal that ended without removing it is overwritten.
    """
    text = bench_text(bench)
    path.write_text(text, encoding="utf-8")
    try:
        yield path
    finally:
        with suppress(OSError, UnicodeDecodeError):
            if short_text(path) == text:
                path.unlink()


def refuse_taken(path: Path) -> None:
    """Make sure that a bench file may be written there.

    Raises
    ------
    CapTriageError
        There is a file of that name that no rehearsal wrote, or one that runs still.
    """
    if not path.exists():
        return
    try:
        text = short_text(path)
        hand = tomllib.loads(text).get("hand", {})
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        text, hand = "", {}
    if not text.startswith(MARK):
        raise CapTriageError(
            f"{path}: is there already, and no rehearsal wrote it; name another with --out"
        )
    if _answers(str(hand.get("address", ""))):
        raise CapTriageError(
            f"{path}: belongs to a rehearsal that is running; stop it, or name another with --out"
        )


def _answers(address: str) -> bool:
    """Whether the control channel of a rehearsal listens there."""
    host, _, port = address.rpartition(":")
    if not port.isdigit():
        return False
    with suppress(OSError), socket.create_connection((host, int(port)), timeout=1.0):
        return True
    return False


def attend(
    bench: RehearsalBench,
    said: queue.SimpleQueue[str],
    *,
    tell: Tell,
    until_done: bool = False,
) -> None:
    """Obey the lines typed at standard input until the rehearsal is told to stop.

    Parameters
    ----------
    bench : RehearsalBench
        Running.
    said : SimpleQueue
        What the hand says of its doings, from its own thread.
    tell : callable
        Given all that, and each answer.
    until_done : bool
        End also when the drawer is done and nobody is connected to the bridge any more.
    """
    typed = b""
    listening = _can_be_typed_to()
    while not bench.stopped.is_set():
        done = until_done and bench.is_done()
        while not said.empty():
            tell(said.get())
        if done:
            return
        if not listening:
            bench.stopped.wait(LOOK_S)
            continue
        if not select.select([sys.stdin.fileno()], [], [], LOOK_S)[0]:
            continue
        data = _typed()
        listening = bool(data)
        *lines, typed = (typed + data).split(b"\n")
        for line in lines:
            _obey(bench, line.decode("utf-8", "replace"), tell)


def _can_be_typed_to() -> bool:
    """Whether there is a standard input that can be waited for."""
    if sys.stdin is None or os.name != "posix":
        return False
    try:
        sys.stdin.fileno()
    except (OSError, ValueError):
        return False
    return True


def _typed() -> bytes:
    """What was typed; nothing where it has ended, or belongs to another program's foreground."""
    try:
        return os.read(sys.stdin.fileno(), 4096)
    except OSError:
        return b""


def _obey(bench: RehearsalBench, line: str, tell: Tell) -> None:
    if line.strip() == "help":
        for form, what in bench.commands.items():
            tell(f"  {form:<23} {what}")
        return
    try:
        answers = bench.command(line).split("; ")
    except MeterError as error:
        answers = [f"refused: {error}"]
    for answer in answers:
        if answer:
            tell(answer)
