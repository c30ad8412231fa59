"""Four benches, each with its meters and a process of its own, log to one book at once."""

from contextlib import ExitStack

import pytest

from bench.at_the_bench import PARTS
from bench.logging_process import Bench, figures_in
from captriage.store.book import Book

BENCHES = 4
READINGS = 10


ON_A_SERVER = pytest.param("postgresql", marks=pytest.mark.ensemble)


@pytest.fixture
def benches(request, tmp_path):
    """Benches of one book, each with a job of its own."""
    book = tmp_path / "bench.book"
    if request.param == "postgresql":
        book = request.getfixturevalue("postgres_database")
    with ExitStack() as open_still:
        made = {}
        for name in map(str, range(BENCHES)):
            (tmp_path / name).mkdir()
            bench = made[name] = open_still.enter_context(Bench(tmp_path / name, PARTS))
            bench.book = book
        with Book.open(book, create=True) as opened:
            for name in made:
                opened.add_parts(opened.add_job(name), PARTS)
        yield made


def all_ended(running):
    """See all of them to their end."""
    while not all(each.has_ended for each in running.values()):
        for each in running.values():
            each.follow(for_s=0.01)
    for each in running.values():
        assert each.end() == 0, each.error


def all_kept(benches, running):
    """All that was shown as taken is in the book, under its job; rows of each job."""
    with Book.open(next(iter(benches.values())).book) as book:
        assert book.check() == []
        rows = {}
        for name, each in running.items():
            job = book.job(name).id
            kept = figures_in(book, job)
            assert set(each.shown()) <= kept
            assert len({shown[:3] for shown in each.shown()}) == len(each.shown()) == len(kept)
            rows[name] = book.readings(job)
            assert {row.run_id for row in rows[name]} == {each.run}
        return rows


@pytest.mark.parametrize("benches", ["sqlite", ON_A_SERVER], indirect=True)
def test_four_drawers_are_walked_at_once(start, benches):
    running = {
        name: start(bench, bench.by_hand_free("--readings", READINGS, job=name))
        for name, bench in benches.items()
    }
    all_ended(running)
    rows = all_kept(benches, running)
    for name, bench in benches.items():
        for part in (part["part"] for part in PARTS):
            true = bench.bench.truth(part).capacitance
            values = [
                row.value
                for row in rows[name]
                if (row.part, row.quantity, row.struck) == (part, "capacitance", "")
            ]
            assert len(values) == READINGS
            assert all(abs(value / true - 1) < 0.01 for value in values)


@pytest.mark.parametrize("benches", ["sqlite", "postgresql"], indirect=True)
@pytest.mark.parametrize("seconds", [1, pytest.param(20, marks=pytest.mark.ensemble)])
def test_four_bridges_are_read_at_full_speed_at_once(start, benches, seconds):
    running = {}
    for name, bench in benches.items():
        bench.do("clip D3")
        asked = ("--function", "impedance", "--part", "D3", "--until", seconds)
        running[name] = start(bench, bench.streaming(*asked, meter="bridge", job=name))
    all_ended(running)
    rows = all_kept(benches, running)
    assert all(rows.values())
