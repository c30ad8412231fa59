"""The person of the README's tour: one terminal for the rehearsal, one for the log."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType

PATIENCE_S = 60.0
UNHURRIED_S = 1.5  # a second press within a second counts as one

ANSWERS = (
    # what is heard (line ends are blanks), what is typed then
    ("Type 'this can kill'", "this can kill"),
    ("Type 'sound'", "sound"),
    ("Type 'plus to plus'", "plus to plus"),
)
AT_THE_REHEARSAL = (
    # what is heard, what is typed in the first terminal
    (re.compile("apply 340 V"), "knob 340"),
    (re.compile("END do not touch (D[0-9]+)"), "discharge {}"),
    (re.compile("(D[0-9]+) HOLDS"), "discharge {}"),
)


def environment() -> dict[str, str]:
    """Environment of a plain 80-column terminal in which ``captriage`` is found."""
    found = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    return {**os.environ, "PATH": found, "COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}


class FirstTerminal:
    """Where the rehearsal runs on while the other commands come and go."""

    def __enter__(self) -> FirstTerminal:
        self.process: subprocess.Popen[str] | None = None
        return self

    def start(self, command: str, folder: Path) -> str:
        """Start it, and wait for the bench file that it writes; what ran before is stopped."""
        self.stop()
        self.process = subprocess.Popen(
            command.split(),
            cwd=folder,
            env=environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            text=True,
        )
        until = time.monotonic() + PATIENCE_S
        while not (folder / "rehearsal.toml").exists():
            assert self.process.poll() is None, f"{command} has ended"
            assert time.monotonic() < until, f"{command} wrote no bench file"
            time.sleep(0.1)
        return ""

    def type(self, lines: str) -> str:
        """Type these lines."""
        assert self.process is not None, "nothing runs in the first terminal"
        assert self.process.stdin is not None
        self.process.stdin.write(lines if lines.endswith("\n") else f"{lines}\n")
        self.process.stdin.flush()
        return ""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """Stop what runs, and wait for its end."""
        if self.process is not None:
            if self.process.poll() is None:
                self.type("stop")
            self.process.communicate(timeout=PATIENCE_S)
            self.process = None


def logged(command: list[str], folder: Path, first_terminal: FirstTerminal) -> tuple[str, int]:
    """Output and exit status of a log or a run, by a person who does what it asks for."""
    said = []
    heard = ""
    with subprocess.Popen(
        command,
        cwd=folder,
        env=environment(),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for line in process.stdout:
            said.append(line)
            heard = " ".join(f"{heard} {line}".split())[-400:]
            for pattern, typed in AT_THE_REHEARSAL:
                if (found := pattern.search(heard)) is not None:
                    heard = heard[found.end() :]
                    first_terminal.type(typed.format(*found.groups()))
            answers = [""] if "Enter" in line else []
            for asked, answer in ANSWERS:
                if asked in heard:
                    heard = heard.partition(asked)[2]
                    answers.append(answer)
            for answer in answers:
                time.sleep(UNHURRIED_S)
                process.stdin.write(f"{answer}\n")
                process.stdin.flush()
    return "".join(said), process.returncode
