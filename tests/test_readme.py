"""What README.md shows is run in a folder that holds the demo; what it prints is compared.

A ``sh`` block holds commands; ``# exit status N`` after one states its status (0 where none
is stated). A ``text`` block that follows is what the block before it prints: line for line,
in that order, a line of "..." standing for any number of lines left out. ``python`` blocks are
run the same way. The two blocks that install need a network: .ci/run runs the one that tests.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"^```(sh|python|text)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
STATUS = re.compile(r"\s+# exit status (\d+)$")
LEFT_OUT = "..."


@dataclass(frozen=True)
class Example:
    """One block to run, and what the README shows of its output."""

    kind: str
    code: str
    shown: str | None
    line: int


def examples() -> list[Example]:
    """Every block of the README that is run, each with the output shown below it."""
    blocks = list(BLOCK.finditer(README))
    following = [*blocks[1:], None]
    found = []
    for block, after in zip(blocks, following, strict=True):
        kind, code = block.groups()
        if kind == "text" or "pip install" in code:
            continue
        shown = after[2] if after is not None and after[1] == "text" else None
        found.append(Example(kind, code, shown, README.count("\n", 0, block.start()) + 1))
    return found


def commands(example: Example) -> list[tuple[str, int]]:
    """Shell commands of a block and the exit status each is said to end with."""
    lines = [line for line in example.code.splitlines() if line.startswith("captriage")]
    stated = [(STATUS.sub("", line), STATUS.search(line)) for line in lines]
    return [(command, int(status[1]) if status else 0) for command, status in stated]


def environment() -> dict[str, str]:
    """Environment of a plain 80-column terminal in which ``captriage`` is found."""
    found = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    return {**os.environ, "PATH": found, "COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}


def run(example: Example, folder: Path) -> str:
    """Output of a block; its commands must end with the status the README states."""
    printed = ""
    if example.kind == "python":
        todo = [([sys.executable, "-c", example.code], 0)]
    else:
        todo = [(["bash", "-c", command], status) for command, status in commands(example)]
    for command, status in todo:
        ran = subprocess.run(
            command, cwd=folder, env=environment(), capture_output=True, text=True, check=False
        )
        assert ran.returncode == status, f"{command[-1]}\n{ran.stdout}\n{ran.stderr}"
        printed += ran.stdout + ran.stderr
    return printed


def missing_line(shown: str, printed: str) -> str | None:
    """First line shown that was not printed where it is shown; None where all were."""
    lines = iter([line.rstrip() for line in printed.splitlines()])
    anywhere = True
    for wanted in (line.rstrip() for line in shown.splitlines()):
        if wanted.strip() == LEFT_OUT:
            anywhere = True
            continue
        found = wanted in lines if anywhere else next(lines, None) == wanted
        if not found:
            return wanted
        anywhere = False
    return None


@pytest.fixture(scope="module")
def outputs(tmp_path_factory) -> dict[int, str]:
    """What each block prints, by its line in the README, run in order in one folder."""
    folder = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "data_demo", folder / "data_demo")
    return {example.line: run(example, folder) for example in examples()}


@pytest.mark.parametrize("example", examples(), ids=lambda e: f"line-{e.line}")
def test_readme_example_does_what_is_shown(example, outputs):
    printed = outputs[example.line]
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
