"""A book with a part that was read, reformed, and read again."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from captriage.bench.measured import Answer, Value
from captriage.jobs import book as jobs
from captriage.jobs.reform_curves import PURPOSE, RETEST, RUN_KIND
from captriage.reform.equipment import Equipment
from captriage.reform.plan import plan_reform
from captriage.reform.plan_data import plan_as_data
from captriage.store.book import Book
from reform.parts_to_reform import vintage

HEADINGS = (
    "part,rating,made,idle (years),C (µF),C freq (Hz),ESR (Ω),ESR freq (Hz),leakage (mA),"
    "test voltage (V),after (min),taken at\n"
)
SHEET = HEADINGS + (
    "C1,32 µF 450 V,1959,17,36,120,3,120,5,450,5,2025-11-01T09:00\n"
    "C2,32 µF 450 V,1959,17,36,120,3,120,0.2,450,5,2025-11-01T09:00\n"
)


def new_book(folder, sheet=SHEET):
    """A book with two parts in it."""
    path = folder / "amp.csv"
    path.write_text(sheet, encoding="utf-8")
    where = folder / "bench.book"
    jobs.new_job(where, "amp")
    jobs.import_sheets(where, [path], "amp")
    return where


def run(where, purpose, *, end_ma, volts=450.0, until_s=3600, days=0.0, stopped="", rest_s=None):
    """Put a run on C1 into the book, its current falling to what is told."""
    with Book.open(where) as book:
        job = book.job("amp")
        part = next(each for each in book.parts(job.id) if each.part == "C1")
        settings = {PURPOSE: purpose, "part_id": part.id, "series_ohm": 0.0, "floor_a": 0.0}
        if rest_s is not None:
            data = plan_as_data(plan_reform(vintage(), Equipment()))
            settings["plan"] = data | {"retest": data["retest"] | {"rest_s": rest_s}}
        number = book.begin_run(job.id, RUN_KIND, meter="ammeter", settings=settings)
        began = datetime.now(UTC) + timedelta(days=days)
        quantity = "leakage_current" if purpose == RETEST else "current"
        for t in range(0, until_s, 60):
            current = 1e-3 * (end_ma + 20 / (t + 4))
            values = (Value(quantity, current), Value("voltage", volts))
            answer = Answer(values, f"{current:.6e}", began + timedelta(seconds=t), 1000.0 + t)
            held = {"voltage_v": volts, "soak_s": float(t)} if purpose == RETEST else {}
            book.keep(number, part.id, answer, conditions=held)
        if stopped:
            book.event(number, "stopped", stopped, part_id=part.id)
    return number


def read_again(where, days, *, capacitance=35e-6, esr=3.1):
    """Read capacitance and ESR of C1 at the bench, so many days from now."""
    with Book.open(where) as book:
        job = book.job("amp")
        part = next(each for each in book.parts(job.id) if each.part == "C1")
        number = book.begin_run(job.id, "part by part", meter="bridge", settings={})
        at = datetime.now(UTC) + timedelta(days=days)
        values = (Value("capacitance", capacitance), Value("esr", esr))
        answer = Answer(values, "read", at, 1000.0)
        book.keep(number, part.id, answer, conditions={"frequency_hz": 120.0})
