"""What a rehearsal says at its start: what runs where, and the commands to try on it."""

from __future__ import annotations

import io
import re
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from captriage.bench.benches import ROLES
from captriage.bench.rehearsal.drawer import (
    QUICK_OHM,
    QUICK_PART,
    QUICK_PLAN,
    REFORMING,
    SPARES,
    demo_file,
    parts_list,
)
from captriage.report.terminal import WIDTH, Terminal

if TYPE_CHECKING:
    from captriage.bench.rehearsal.bench import RehearsalBench

JOBS: Final = {SPARES: "drawer", REFORMING: "cellar"}
"""Names of jobs, as the README has them; the book is the one that is meant where none is named."""

DEMO: Final = Path("data_demo")

COLUMNS: Final = re.compile(r" *(?:\S+(?: \S+)* {2,})*")


def welcome(
    bench: RehearsalBench, out: Path, *, drawer: str = SPARES, width: int = WIDTH
) -> list[str]:
    """What is told at the start: that nothing is real, what runs where, what to type."""
    text = io.StringIO()
    page = Terminal(text)
    page.width = width
    page.paragraph(
        "Everything here is simulated: the meters, the parts in the drawer, and the hand that "
        "clips them. Nothing is energised, and no reading of it says anything of a real part."
    )
    page.line()
    names = max(map(len, bench.addresses))
    runs = {name: (address, bench.profiles[name]) for name, address in bench.addresses.items()}
    runs["hand"] = (bench.control_address, "the commands that can be typed here")
    for name, (address, what) in runs.items():
        line, more = f"  {name:<{names}}  {address}", f"({what})"
        if len(line) + 2 + len(more) > width:  # an address is not parted
            page.line(line)
            line = " " * (names + 2)
        page.line(f"{line}  {more}")
    page.line()
    told = f"The addresses are in {out}. In another terminal, in the same folder:"
    if len(told) <= width:
        page.line(told)
    else:  # a path is not parted
        page.paragraph("The addresses are in the file below. In another terminal, in this folder:")
        page.line(f"  {out}")
    page.line()
    for words in commands(out, drawer=drawer):
        page.command(words)
    page.line()
    if drawer == REFORMING:
        page.paragraph(
            f'Type "jig {QUICK_PART}" and "resistor {QUICK_OHM:g}" here before the last of them, '
            f'and "discharge {QUICK_PART}" where it asks for that.'
        )
        page.line()
    page.paragraph('Type "help" here for what can be made to go wrong; "stop" or Ctrl-C ends it.')
    page.line()
    return text.getvalue().splitlines()


def wrapped(text: str, width: int) -> list[str]:
    """Lines of a text; those after the first begin below its last column."""
    written = io.StringIO()
    page = Terminal(written)
    page.width = width
    columns = COLUMNS.match(text)
    begins = columns.end() if columns else 0
    page.paragraph(text[begins:], first=text[:begins])
    return written.getvalue().splitlines()


def commands(out: Path, *, drawer: str = SPARES) -> list[list[str]]:
    """Words of the commands that log the drawer, or reform a part of it."""
    parts = from_here(parts_list(drawer))
    job = JOBS[drawer]
    bench = ["--bench", str(out), "--job", job]
    if drawer == SPARES:
        return [["captriage", "log", *bench, "--parts", parts, "--hands-free"]]
    run = ["captriage", "reform", "run", QUICK_PART, *bench]
    meters = ["--plan", from_here(demo_file(QUICK_PLAN)), "--voltmeter", "voltmeter"]
    if "thermometer" in ROLES:
        meters += ["--thermometer", "thermometer"]
    return [
        ["captriage", "book", "new", job],
        ["captriage", "book", "import", "--job", job, parts],
        [*run, *meters],
    ]


def from_here(path: Path) -> str:
    """A file of the demonstration as it is typed in this folder; its own copy of it comes first."""
    copy = DEMO / path.relative_to(demo_file(""))
    if copy.is_file():
        return str(copy)
    with suppress(ValueError):  # lies elsewhere
        path = path.relative_to(Path.cwd())
    return str(path)
