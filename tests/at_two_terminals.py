"""The person of the README's tour: one terminal for the rehearsal, one for the log."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType

PATIENCE_S = 60.0
UNHURRIED_S = 1.5  # a second press within a second counts as one
KNOB = "knob 340"


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
        """Start it, and wait for the bench file that it writes."""
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
        if self.process is not None:
            if self.process.poll() is None:
                self.type("stop")
            self.process.communicate(timeout=PATIENCE_S)


def logged(command: list[str], folder: Path, first_terminal: FirstTerminal) -> tuple[str, int]:
    """Output and exit status of a log, by a person who does what it asks for."""
    said = []
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
            if "apply 340 V" in line:
                first_terminal.type(KNOB)
            elif "Enter" in line:
                time.sleep(UNHURRIED_S)
                process.stdin.write("\n")
                process.stdin.flush()
    return "".join(said), process.returncode
