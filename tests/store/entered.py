"""What the tests enter into a book."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from captriage.bench.measured import Answer, Value

NOON = datetime(2026, 11, 24, 12, 0, 0, 125, tzinfo=UTC)


def reply(number: int = 1, *, raw: str = "4.7e-05,1.2", capacitance: float = 4.7e-5) -> Answer:
    """The number-th reply of a bridge, a second after the one before."""
    values = (Value("capacitance", capacitance, uncertainty=1e-7), Value("esr", 1.2))
    return Answer(values, raw, NOON + timedelta(seconds=number), float(number))


def job_with_parts(book, *names, job: str = "rack"):
    """Numbers of a new job, of its parts, and of a run with a bridge."""
    job_id = book.add_job(job)
    parts = book.add_parts(job_id, [{"part": name} for name in names])
    run = book.begin_run(job_id, "part by part", meter="bridge", settings={"frequency_hz": 120.0})
    return job_id, parts, run
