"""Print speed as ratios within one run, and memory: ``python tests/benchmarks/ratios.py``.

Whole processes are timed, the bare one and ours in turn, and the least of several runs is
taken of each, since whatever else a machine does can only make a run longer.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from large_sheets import write_long, write_wide

CAPTRIAGE = str(Path(sys.executable).with_name("captriage"))
NOTHING_FOUND = 2  # exit status of captriage for a sheet that cannot be used


@dataclass(frozen=True)
class Cost:
    """Least time and largest resident memory of a command over its runs."""

    seconds: float
    peak_bytes: int


def run_once(command: list[str]) -> Cost:
    """Run a command to its end; stop the benchmark where it did not do its job."""
    started = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    assert process.stderr is not None
    said = process.stderr.read().decode(errors="replace")
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - started
    process.returncode = os.waitstatus_to_exitcode(status)
    process.stderr.close()
    if process.returncode < 0 or process.returncode >= NOTHING_FOUND:
        sys.exit(f"{' '.join(command)}: exit status {process.returncode}\n{said[-2000:]}")
    return Cost(seconds, usage.ru_maxrss * 1024)


def side_by_side(bare: list[str], ours: list[str], times: int) -> tuple[Cost, Cost]:
    """Cost of both commands, run in turn so that a busy spell falls on both."""
    pairs = [(run_once(bare), run_once(ours)) for _ in range(times)]
    columns = list(zip(*pairs, strict=True))
    best = [Cost(min(c.seconds for c in runs), max(c.peak_bytes for c in runs)) for runs in columns]
    return best[0], best[1]


def print_row(what: str, bare: Cost, ours: Cost, bar: float) -> None:
    """One line of the table: ratio against its bar, and what it is a ratio of."""
    ratio = ours.seconds / bare.seconds
    said = "within" if ratio <= bar else "ABOVE"
    print(
        f"{what:<46} {ours.seconds:8.3f} s {bare.seconds:8.3f} s "
        f"{ratio:7.2f} × {bar:5.1f} × {said:<7}{ours.peak_bytes / 1e6:8.0f} MB",
        flush=True,
    )


def python(code: str) -> list[str]:
    """Command line of this interpreter running a line of code."""
    return [sys.executable, "-c", code]


def judged(files: list[Path], out: Path) -> list[str]:
    """Command line that judges these sheets and writes CSV."""
    return [CAPTRIAGE, "judge", *map(str, files), "--format", "csv", "--out", str(out)]


def read_bare(files: list[Path]) -> list[str]:
    """Command line that does no more than read the same files with pandas."""
    return python("import pandas; " + "; ".join(f"pandas.read_csv({str(f)!r})" for f in files))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--readings", type=int, default=1_000_000)
    parser.add_argument("--times", type=int, default=3)
    asked = parser.parse_args()
    print(f"{'':<46} {'ours':>10} {'bare':>10} {'ratio':>9} {'bar':>7} {'':<7}{'peak':>11}")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        bare, ours = side_by_side(python("pass"), [CAPTRIAGE, "--help"], 5 * asked.times)
        print_row("captriage --help / python -c pass", bare, ours, 10)
        bare, ours = side_by_side(python("import pandas"), [CAPTRIAGE, "demo"], 5 * asked.times)
        print_row("captriage demo / import pandas", bare, ours, 1.5)
        for readings in (asked.readings // 100, asked.readings // 10, asked.readings):
            wide = place / "wide.csv"
            write_wide(wide, readings)
            bare, ours = side_by_side(
                read_bare([wide]), judged([wide], place / "out.csv"), asked.times
            )
            print_row(f"judge {readings:,} readings, wide / read_csv", bare, ours, 4)
        both = [place / "parts.csv", place / "readings.csv"]
        write_long(*both, asked.readings)
        bare, ours = side_by_side(read_bare(both), judged(both, place / "out.csv"), asked.times)
        print_row(f"judge {asked.readings:,} readings, long / read_csv", bare, ours, 4)
    print("Memory is to stay below 2 000 MB; time is to grow in proportion from row to row.")


if __name__ == "__main__":
    main()
