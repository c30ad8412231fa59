"""Full disks, books that may only be read, clocks that are set, two who want the same."""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from bench.at_the_bench import PARTS, QUICK, FastClock, Sitting
from bench.logging_process import Bench, figures_in
from bench.nursery import NOBODY
from captriage.store.book import Book

NAMES = ["D1", "D3", "D8"]


@pytest.fixture
def bench(tmp_path):
    with Bench(tmp_path, PARTS) as at_work:
        yield at_work


def assert_kept(bench, *runs, job="drawer"):
    """All that these have shown as taken is in the book, and the book is sound."""
    with Book.open(bench.book) as book:
        assert book.check() == []
        kept = figures_in(book, book.job(job).id)
        for running in runs:
            assert running.shown()
            assert set(running.shown()) <= kept


def assert_true(bench, readings, job="drawer"):
    """Each part has so many readings that count, and they are its own."""
    with Book.open(bench.book) as book:
        rows = [row for row in book.readings(book.job(job).id) if not row.struck]
    for part in NAMES:
        true = bench.bench.truth(part).capacitance
        values = [r.value for r in rows if (r.part, r.quantity) == (part, "capacitance")]
        assert len(values) == readings
        assert all(abs(value / true - 1) < 0.01 for value in values)


def test_a_disk_that_fills_up_in_the_middle_ends_it_and_nothing_shown_is_lost(start, bench):
    """The limit on the size of a file stands for the end of the disk."""
    largest = bench.book.stat().st_size + 150_000
    readings = ("--readings", 30)  # more than there is room for
    running = start(bench, bench.by_hand_free(*readings), largest=largest)
    status = running.end()
    assert "the disk did not take it, nothing was kept of this; check disk" in running.error
    assert status == 2
    assert running.having(f"kept   0 parts, {len(running.shown())} answers")
    assert bench.heard["bridge"][-1] == "BIAS:STAT 0"
    assert_kept(bench, running)
    again = start(bench, bench.by_hand_free(*readings, "--resume"))
    assert again.end() == 0
    assert_true(bench, 30)


FULL = """
mount -t tmpfs -o size=400k captriage-test "$1" || exit 77
cp bench.book "$1"/bench.book
shift
"$@"
status=$?
cp full/bench.book* kept/
exit $status
"""


def test_a_file_system_that_is_full_ends_it_and_nothing_shown_is_lost(bench):
    """A real one of 400 kB, where this user may mount one."""
    for name in ("full", "kept"):
        (bench.folder / name).mkdir()
    bench.do("clip D1")
    arguments = bench.streaming("--function", "impedance", "--part", "D1", meter="bridge")
    arguments[arguments.index(str(bench.book))] = "full/bench.book"
    command = [sys.executable, "-m", "captriage", *arguments]
    unshared = ["unshare", *([] if not os.geteuid() else ["-Ur"]), "-m", "sh", "-c", FULL, "sh"]
    done = subprocess.run(
        [*unshared, str(bench.folder / "full"), *command],
        cwd=bench.folder,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    if done.returncode not in (1, 2) or "unshare" in done.stderr:
        pytest.skip(f"no file system of our own may be mounted here: {done.stderr.strip()}")
    assert "the disk is full, nothing was kept of this; make room and try again" in done.stderr
    assert done.returncode == 2
    shown = [line for line in done.stdout.splitlines() if line.startswith("taken ")]
    last = int(shown[-1].split()[3].partition(".")[2])
    with Book.open(bench.folder / "kept" / "bench.book") as book:
        assert book.check() == []
        answers = {row.answer for row in book.readings(book.job("drawer").id)}
    assert answers >= set(range(1, last + 1))
    assert f"kept   {len(answers)} answers" in done.stdout


@pytest.fixture
def open_to_all():
    """A folder that any user may enter; pytest's own may be entered by one alone."""
    folder = Path(tempfile.mkdtemp(prefix="captriage-bench-"))
    folder.chmod(0o755)
    runtime = folder / "run"
    runtime.mkdir(mode=0o700)
    if not os.geteuid():
        os.chown(runtime, NOBODY, NOBODY)
    yield folder
    folder.chmod(0o755)
    (folder / "book").chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.parametrize("folder_too", [False, True])
def test_a_book_that_may_only_be_read_is_refused_in_words(start, open_to_all, folder_too):
    (open_to_all / "book").mkdir()
    with Bench(open_to_all, PARTS) as bench:
        bench.book = Path(shutil.move(bench.book, open_to_all / "book"))
        bench.book.chmod(0o444)
        bench.book.parent.chmod(0o555 if folder_too else 0o777)
        arguments = bench.by_hand_free()
        running = start(bench, arguments, nobody=True, runtime=str(open_to_all / "run"))
        assert running.end() == 2
        assert running.error.startswith(f"captriage: {bench.book}: the book cannot be ")
        assert "check who may" in running.error
        assert running.error.count("\n") == 1
        assert not running.shown()
        assert bench.rows() == []


@pytest.mark.parametrize("hours", [-1, 1])
def test_a_wall_clock_that_is_set_in_a_drawer_moves_nothing_but_the_dates(tmp_path, hours):
    clock = FastClock()

    def set_it():
        clock.set_by = timedelta(hours=hours)

    with Sitting(tmp_path) as sitting:
        sitting.by_itself("D1", "D3").on("taken  D1  answer 1.3", set_it)
        assert sitting.log(clock=clock).done == ["D1", "D3"]
        rows = sitting.rows()
        steps = [b.monotonic_s - a.monotonic_s for a, b in pairwise(rows)]
        assert all(0 < step < 10 for step in steps)
        moved = timedelta(hours=hours)
        utc = [datetime.fromisoformat(row.utc) for row in rows]
        apart = [b - a for a, b in pairwise(utc)]
        assert [abs(each - moved) < timedelta(minutes=1) for each in apart].count(True) == 1
        assert sitting.shown.having("so far: reform (70 % sure)")
        assert sitting.shown.having("so far: keep (66 % sure)")
        with sitting.opened() as (book, _):
            assert book.check() == []


def test_a_wall_clock_that_is_set_in_a_stream_does_not_end_it_early(tmp_path):
    clock = FastClock()

    def set_it():
        clock.set_by = timedelta(hours=-1)

    with Sitting(tmp_path) as sitting:
        sitting.on("answer 1.5 ", set_it)
        summary = sitting.stream("ammeter", until_s=0.5, every_s=0.02, clock=clock)
        assert 6 <= summary.taken <= 26
        assert 0.4 < summary.seconds < 2.0


def test_two_benches_log_to_one_book_at_once(start, bench, tmp_path):
    (tmp_path / "second").mkdir()
    with Bench(tmp_path / "second", PARTS) as other:
        other.book = bench.book
        with Book.open(bench.book) as book:
            book.add_parts(book.add_job("second"), PARTS)
        benches = {"drawer": bench, "second": other}
        running = {
            name: start(each, each.by_hand_free("--readings", 10, job=name))
            for name, each in benches.items()
        }
        while not all(each.has_ended for each in running.values()):
            for each in running.values():
                each.follow(for_s=0.01)
        assert [each.end() for each in running.values()] == [0, 0]
        for name, each in benches.items():
            assert_true(each, 10, job=name)
            assert_kept(bench, running[name], job=name)


def test_a_meter_that_another_process_has_is_refused_in_words(start, bench):
    first = start(bench, bench.by_hand_free("--readings", 20))
    assert first.follow(lambda line: line.startswith("taken  "))
    second = start(bench, bench.by_hand_free())
    address = bench.bench.addresses["bridge"].replace("TCPIP::", "tcpip0::")
    by_address = ["log", "stream", "--book", bench.book, "--job", "drawer", "--meter", address]
    third = start(bench, [*by_address, "--as", "lcr_scpi_values_status", "--function", "impedance"],
    )  # fmt: skip
    for refused in (second, third):
        assert refused.end() == 2
        assert f"in use by captriage log (process {first.pid}, since " in refused.error
        assert "end that first" in refused.error
        assert refused.error.count("\n") == 1
        assert not refused.shown()
    assert first.end() == 0
    assert_true(bench, 20)
    assert_kept(bench, first)
    with Book.open(bench.book) as book:
        assert len(book.runs(book.job("drawer").id)) == 1
        assert {event.kind for event in book.events(book.job("drawer").id)} == {
            "started",
            "stopped",
        }


def test_a_process_that_was_stopped_in_the_middle_of_a_part_begins_it_anew(start, bench):
    """While it stands still the part may be changed for another of the same value."""
    running = start(bench, bench.by_hand_free("--readings", 20), manner={**QUICK, "gap_s": 1.0})
    assert running.follow(lambda _: len(running.having("taken  D1")) >= 3)
    os.kill(running.pid, signal.SIGSTOP)
    time.sleep(2.0)
    went_on = datetime.now(UTC)
    os.kill(running.pid, signal.SIGCONT)
    assert running.end() == 0
    assert_true(bench, 20)
    with Book.open(bench.book) as book:
        job = book.job("drawer").id
        counted = [r.utc for r in book.readings(job) if r.part == "D1" and not r.struck]
        happened = {e.kind for e in book.events(job) if e.part == "D1"}
    assert min(map(datetime.fromisoformat, counted)) > went_on
    assert happened & {"gap", "fault"}  # the second where it stood still before an answer came
