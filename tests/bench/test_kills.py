"""A logging process is killed at any moment: what it had shown as taken is in the book.

``kill -9`` cannot show that a reading survives a power cut: what the operating system has taken
over survives the process. That is asked of SQLite by ``synchronous = FULL``, which the tests of
the book look at.
"""

import random
import sqlite3
from contextlib import closing

import pytest

from bench.at_the_bench import PARTS
from bench.logging_process import Bench, figures_in
from captriage.bench.owner import take
from captriage.store.book import Book

READINGS = 30  # of each part, so that most moments fall among them
LATEST_S = 0.3
# what is waited for, and the longest time from then to the kill [s]
MOMENTS = {
    "from its first breath": ("", LATEST_S),
    "before the first reading": ("ready  ", 0.02),
    "among the commits": ("taken  ", 0.05),
    "during the verdict": ("done   ", 0.06),
    "while the bridge is being reopened": ("gap    ", 0.35),
}


@pytest.fixture
def bench(tmp_path):
    with Bench(tmp_path, PARTS) as at_work:
        yield at_work


class Jobs:
    """One job after another in one book, each walked until it is done."""

    def __init__(self, bench):
        self.bench = bench
        self.number = 0
        self.begin()

    def begin(self):
        self.number += 1
        self.name, self.shown = f"drawer {self.number}", []
        with Book.open(self.bench.book) as book:
            self.id = book.add_job(self.name)
            book.add_parts(self.id, PARTS)

    def check(self, *, whole=False):
        """All that was shown is there, the book is sound; the parts that are done are true."""
        with Book.open(self.bench.book) as book:
            assert book.check() == []
            kept = figures_in(book, self.id)
            assert set(self.shown) <= kept
            counting = [row for row in book.readings(self.id) if not row.struck]
        for part in PARTS if whole else ():
            values = [
                row.value
                for row in counting
                if row.part == part["part"] and row.quantity == "capacitance"
            ]
            true = self.bench.bench.truth(part["part"]).capacitance
            assert len(values) == READINGS
            assert all(abs(value / true - 1) < 0.01 for value in values)


def killed(start, bench, job, moment, delay):
    """A run of the job that is killed then, or ended before; whether it had ended."""
    text, _ = MOMENTS[moment]
    if moment == "while the bridge is being reopened":
        bench._script["taken  "] = ["unplug bridge"]
        bench._script["gap    "] = ["replug bridge"]
    arguments = bench.by_hand_free("--resume", "--readings", READINGS, job=job)
    running = start(bench, arguments)
    if text:
        line = running.follow(lambda line: line.startswith(text))
        if line is not None:
            bench.shown.line(line)
    running.follow(for_s=delay)
    status = running.kill()
    assert status in (-9, 0), running.error
    bench._script.clear()
    bench.do("replug bridge")
    return running, status == 0


@pytest.mark.parametrize("kills", [8, pytest.param(200, marks=pytest.mark.ensemble)])
def test_a_walk_that_is_killed_again_and_again_loses_nothing(start, bench, kills):
    rng = random.Random(kills)
    jobs, hit, lines = Jobs(bench), 0, 0
    moments = list(MOMENTS)
    while hit < kills:
        moment = moments[hit % len(moments)]
        delay = rng.uniform(0.0, MOMENTS[moment][1])
        running, ended = killed(start, bench, jobs.name, moment, delay)
        jobs.shown += running.shown()
        lines += len(running.shown())
        hit += not ended
        with_it = take(bench.bench.addresses["bridge"])  # nobody holds the meter any more
        with_it.release()
        if hit % 2 or ended:  # else what the kill left is first opened by the next run
            jobs.check(whole=ended)
        if ended:
            jobs.begin()
    assert lines > kills
    go_on(start, bench, jobs)


def go_on(start, bench, jobs):
    """The next run goes on, to the end of the job."""
    arguments = bench.by_hand_free("--resume", "--readings", READINGS, job=jobs.name)
    last = start(bench, arguments)
    assert last.end() == 0, last.error
    jobs.shown += last.shown()
    jobs.check(whole=True)


@pytest.mark.parametrize("kills", [3, pytest.param(60, marks=pytest.mark.ensemble)])
def test_a_stream_at_full_speed_that_is_killed_loses_nothing(start, bench, kills):
    rng = random.Random(kills)
    shown = []
    for _ in range(kills):
        running = start(bench, bench.streaming())
        assert running.follow(lambda line: line.startswith("run  ")), running.error
        running.follow(for_s=rng.uniform(0.0, LATEST_S))
        assert running.kill() == -9
        shown += running.shown()
    assert len(shown) > kills
    with bench.opened() as (book, job):
        assert book.check() == []
        kept = figures_in(book, job)
        assert set(shown) <= kept
        assert len(kept) <= len(shown) + kills  # and no more than the one under way


@pytest.mark.parametrize("streaming", [False, True])
def test_nothing_is_shown_as_taken_that_the_book_has_not_taken(start, bench, streaming):
    """While another program keeps the book locked, and it is killed as it waits for that."""
    walk = bench.by_hand_free("--readings", READINGS)
    running = start(bench, bench.streaming() if streaming else walk)
    assert running.follow(lambda line: "answer 1.5 " in line), running.error
    with closing(sqlite3.connect(bench.book, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        running.follow(for_s=0.2)
        assert running.kill() == -9
        other.execute("ROLLBACK")
    with bench.opened() as (book, job):
        assert book.check() == []
        assert set(running.shown()) <= figures_in(book, job)
        assert len(running.shown()) >= 5


def test_what_was_left_in_the_clips_is_not_filed_under_the_next_name(start, bench):
    """Killed between the last reading and its bell: the part is done, and still in the clips."""
    running = start(bench, bench.by_hand_free("--readings", 3))
    running.follow(lambda line: line.startswith("taken  D1  answer 1.3"))
    bench.willing = False
    assert running.kill() == -9
    again = start(bench, bench.by_hand_free("--readings", 3, "--resume"))
    assert again.follow(lambda line: "D3 comes next: open the clips first" in line), again.lines
    again.follow(for_s=0.2)
    assert not again.shown()
    bench.willing = True
    bench.do("off")
    assert again.end() == 0
    for part in PARTS:
        true = bench.bench.truth(part["part"]).capacitance
        values = bench.counting(part["part"])
        assert len(values) == 3
        assert all(abs(value / true - 1) < 0.01 for value in values)
