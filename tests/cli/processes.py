"""A rehearsal and a log, each as a process of its own."""

import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

COMMAND = (sys.executable, "-m", "captriage")
DRAWER = Path(__file__).parents[2] / "data_demo" / "rehearsal" / "drawer.csv"
JOB = "drawer"


@contextmanager
def rehearsal(folder, *more, pause="0.7"):
    """A rehearsal in a process of its own; the folder has its bench file."""
    with subprocess.Popen(
        [*COMMAND, "rehearse", "--pause", pause, "--out", "bench.toml", *more],
        cwd=folder,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        while "ends it" not in running.stdout.readline():
            assert running.poll() is None
        try:
            yield running
        finally:
            running.send_signal(signal.SIGINT)
            running.communicate(timeout=20)


def log(folder, *arguments, **more):
    return subprocess.Popen(
        [*COMMAND, "log", *arguments],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        **more,
    )


def parts_sheet(folder, count):
    lines = DRAWER.read_text("utf-8").splitlines()
    sheet = Path(folder) / "drawer.csv"
    sheet.write_text("\n".join(lines[2 : 3 + count]) + "\n", encoding="utf-8")
    return sheet
