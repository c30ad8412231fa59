"""What README.md shows is run in a folder that holds the demo; what it prints is compared.

A ``sh`` block holds commands; ``# exit status N`` after one states its status (0 where none
is stated). A ``text`` block that follows is what the block before it prints: line for line,
in that order, a line of "..." standing for any number of lines left out. ``python`` blocks are
run the same way. A command that is said to run "in a first terminal" runs on, beside the
others, and a ``console`` block is what is typed there. What stands under "Rehearse a run" takes
minutes and is tried with the ensembles. The two blocks that install need a
network: .ci/run runs the one that tests.

Run as a program, this writes what is printed today over what README.md shows; with ``--long``,
also what takes minutes.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

import pytest

from at_two_terminals import FirstTerminal, environment, logged

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"^```(sh|python|text|console)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
BESIDE = "  # in a first terminal"
STATUS = re.compile(r"\s+# exit status (\d+)$")
LEFT_OUT = "..."
LEFT_OF_A_CHARGE = re.compile(r"charge 0\.\d+ V")
LONG_PART = "### Rehearse a run"
"""Heading of what takes minutes; it ends with the next heading of the second order."""


@dataclass(frozen=True)
class Example:
    """One block to run, and what the README shows of its output."""

    kind: str
    code: str
    shown: str | None
    line: int
    takes_minutes: bool


def examples() -> list[Example]:
    """Every block of the README that is run, each with the output shown below it."""
    long_from = README.index(LONG_PART)
    long_to = README.index("\n## ", long_from)
    blocks = list(BLOCK.finditer(README))
    following = [*blocks[1:], None]
    found = []
    for block, after in zip(blocks, following, strict=True):
        kind, code = block.groups()
        if kind == "text" or "pip install" in code:
            continue
        shown = after[2] if after is not None and after[1] == "text" else None
        line = README.count("\n", 0, block.start()) + 1
        found.append(Example(kind, code, shown, line, long_from < block.start() < long_to))
    return found


def commands(example: Example) -> list[tuple[str, int]]:
    """Shell commands of a block and the exit status each is said to end with."""
    lines = [line for line in example.code.splitlines() if line.startswith(("captriage", "sleep"))]
    stated = [(STATUS.sub("", line), STATUS.search(line)) for line in lines]
    return [(command, int(status[1]) if status else 0) for command, status in stated]


def run(example: Example, folder: Path, first_terminal: FirstTerminal) -> str:
    """Output of a block; its commands must end with the status the README states."""
    printed = ""
    if example.kind == "console":
        return first_terminal.type(example.code)
    if BESIDE in example.code:
        return first_terminal.start(example.code.replace(BESIDE, "").strip(), folder)
    if example.kind == "python":
        todo = [([sys.executable, "-c", example.code], 0)]
    else:
        todo = [(["bash", "-c", command], status) for command, status in commands(example)]
    for command, status in todo:
        if command[-1].startswith(("captriage log", "captriage reform run")):
            said, ended = logged(command, folder, first_terminal)
        else:
            ran = subprocess.run(
                command, cwd=folder, env=environment(), capture_output=True, text=True, check=False
            )
            said, ended = ran.stdout + ran.stderr, ran.returncode
        assert ended == status, f"{command[-1]}\n{said}"
        printed += said
    return printed


def steady(text: str) -> list[str]:
    """Lines of a text, without what depends on the moment: what is left of a charge."""
    return [LEFT_OF_A_CHARGE.sub("charge 0 V", line).rstrip() for line in text.splitlines()]


def missing_line(shown: str, printed: str) -> str | None:
    """First line shown that was not printed where it is shown; None where all were."""
    lines = iter(steady(printed))
    anywhere = True
    for wanted in steady(shown):
        if wanted.strip() == LEFT_OUT:
            anywhere = True
            continue
        found = wanted in lines if anywhere else next(lines, None) == wanted
        if not found:
            return wanted
        anywhere = False
    return None


def renewed(shown: str, printed: str) -> str:
    """What is shown, each piece between "..." replaced by the lines printed in its place today.

    A piece is found again by its first and its last line, or those printed that are likest.
    """
    lines = [line.rstrip() for line in printed.splitlines()]
    place = 0
    pieces = []
    for piece in re.split(rf"^{re.escape(LEFT_OUT)}\n", shown, flags=re.MULTILINE):
        if not piece:
            pieces.append("")
            continue
        wanted = piece.splitlines()
        begin = likest(wanted[0], lines[place:]) + place if pieces else 0
        rest = lines[begin:]
        place = begin + likest(wanted[-1], rest, expected=len(wanted) - 1) + 1
        pieces.append("".join(f"{line}\n" for line in lines[begin:place]))
    return f"{LEFT_OUT}\n".join(pieces)


def likest(wanted: str, lines: list[str], *, expected: int | None = None) -> int:
    """Place of the first line that is likest, near where it is expected if that is told."""
    likeness = [SequenceMatcher(None, wanted, line).ratio() for line in lines]
    if expected is not None:  # ten lines off weigh as much as a third of the signs
        likeness = [each - abs(at - expected) / 30 for at, each in enumerate(likeness)]
    return likeness.index(max(likeness))


def run_all(folder: Path, *, takes_minutes: bool) -> dict[int, str]:
    """What each block prints, by its line in the README, run in order in one folder."""
    shutil.copytree(ROOT / "data_demo", folder / "data_demo")
    meant = [example for example in examples() if example.takes_minutes == takes_minutes]
    with FirstTerminal() as first_terminal:
        return {example.line: run(example, folder, first_terminal) for example in meant}


def renew() -> None:
    """Write what is printed today into the README."""
    printed = {}
    for takes_minutes in (False, True) if "--long" in sys.argv else (False,):
        with tempfile.TemporaryDirectory() as folder:
            printed |= run_all(Path(folder), takes_minutes=takes_minutes)
    text = README
    for example in examples():
        if example.shown is not None and example.line in printed:
            today = renewed(example.shown, printed[example.line])
            text = text.replace(f"```text\n{example.shown}```", f"```text\n{today}```", 1)
    (ROOT / "README.md").write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def outputs(tmp_path_factory) -> dict[int, str]:
    """What each block prints, by its line in the README."""
    return run_all(tmp_path_factory.mktemp("readme"), takes_minutes=False)


@pytest.fixture(scope="module")
def long_outputs(tmp_path_factory) -> dict[int, str]:
    """The same of the blocks that take minutes."""
    return run_all(tmp_path_factory.mktemp("readme"), takes_minutes=True)


QUICK = [example for example in examples() if not example.takes_minutes]
LONG = [example for example in examples() if example.takes_minutes]


@pytest.mark.parametrize("example", QUICK, ids=lambda e: f"line-{e.line}")
def test_readme_example_does_what_is_shown(example, outputs):
    is_shown(example, outputs[example.line])


@pytest.mark.ensemble
@pytest.mark.timeout(1500)
@pytest.mark.parametrize("example", LONG, ids=lambda e: f"line-{e.line}")
def test_readme_example_that_takes_minutes_does_what_is_shown(example, long_outputs):
    is_shown(example, long_outputs[example.line])


def is_shown(example: Example, printed: str) -> None:
    """Make sure that what is shown below a block was printed."""
    if example.shown is not None:
        missing = missing_line(example.shown, printed)
        assert missing is None, f"shown but not printed: {missing!r}, in\n{printed}"


def test_every_command_is_shown():
    from captriage.cli import app

    shown = {part for e in examples() for c, _ in commands(e) for part in c.split()}
    assert set(app.commands) <= shown


def test_a_line_that_is_not_printed_is_found():
    assert missing_line("a\n...\nd\n", "a\nb\nc\nd\n") is None
    assert missing_line("a\nd\n", "a\nb\nc\nd\n") == "d"
    assert missing_line("x\n", "a\nb\n") == "x"
    assert missing_line("b\nc\n", "a\nb\nc\n") is None


def test_outputs_are_renewed_piece_by_piece():
    printed = "head\nnew\nC1 keep\n  a new sentence\n  on two lines\nC2\nx\nC9 keep\ntail of it\n"
    shown = "head\nold\nC1 keep\n  an old sentence\n  in lines\n...\nC9 keep\ntail of this\n"
    today = renewed(shown, printed)
    assert today == (
        "head\nnew\nC1 keep\n  a new sentence\n  on two lines\n...\nC9 keep\ntail of it\n"
    )
    assert missing_line(shown, printed) == "old"
    assert missing_line(today, printed) is None
    assert renewed("...\nC2\nx\n...\n", printed) == "...\nC2\nx\n...\n"


def test_the_two_commands_are_there_and_the_second_is_what_ci_runs():
    installing = [
        line
        for kind, code in BLOCK.findall(README)
        if kind == "sh" and "pip install" in code
        for line in code.splitlines()
        if "pip install" in line
    ]
    assert len(installing) == 2
    demo, testing = installing
    assert demo.endswith(".venv/bin/captriage demo")
    assert testing.endswith("python -m pytest")
    assert f"  {testing}\n" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_pictures_shown_are_there_and_small():
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert pictures
    for picture in pictures:
        assert (ROOT / picture).stat().st_size < 200_000


def test_first_paragraph_states_the_job():
    paragraph = README.split("\n\n")[1]
    for word in ("restor", "electrolytic", "keep", "reform", "replace"):
        assert word in paragraph


if __name__ == "__main__":
    renew()
