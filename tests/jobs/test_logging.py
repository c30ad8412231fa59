"""Logging joined to book, judging and bench file."""

import threading

import pytest

from bench.at_the_bench import CHARGED, JOB, PARTS, YEAR, Sitting
from captriage.bench.benches import BenchMeter
from captriage.bench.manner import Manner
from captriage.errors import BookError, Gone, PolicyError, ProfileError
from captriage.jobs import logging as jobs
from captriage.jobs import part_by_part
from captriage.jobs.bench_meters import KEYBOARD, MeterAt, meter_meant
from captriage.jobs.soak_limits import SoakLimit
from captriage.store.book import Book

SHEET = "part,rating,made\nD1,32 µF 450 V,1962\n"


@pytest.fixture
def sitting(tmp_path):
    with Sitting(tmp_path, PARTS[:1]) as at_work:
        yield at_work


def test_a_job_that_is_not_in_the_book_is_begun_from_a_sheet(sitting, tmp_path):
    sheet = tmp_path / "drawer.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    sitting.book = tmp_path / "other.book"
    sitting.by_itself("D1")
    assert sitting.log(parts=[sheet]).done == ["D1"]
    with sitting.opened() as (book, job):
        assert [part.part for part in book.parts(job)] == ["D1"]
    sitting.by_itself("D1")
    assert sitting.log(parts=[sheet]).done == ["D1"]  # the sheet is not taken in twice


def test_what_is_logged_is_what_is_judged(sitting):
    from captriage.jobs.book import judge

    sitting.by_itself("D1").log()
    said = next(line for line in sitting.shown.lines if "so far: " in line)
    verdict = judge(sitting.book, JOB, today_year=YEAR).verdicts.iloc[0]
    assert verdict["verdict"] in said
    assert verdict["because"] in said
    assert "accuracy of the meter not its maker's: common practice" in verdict["assumed"]


def test_a_run_remembers_its_meter_and_settings(sitting):
    sitting.by_itself("D1").log(frequency_hz=1000.0, level_v=0.3, function="impedance_tan_delta")
    with sitting.opened() as (book, job):
        run = book.runs(job)[-1]
        assert (run.kind, run.meter) == ("part by part", "bridge")
        assert run.identity.startswith("CAPTRIAGE,REHEARSAL BRIDGE")
        assert run.settings["frequency_hz"] == 1000.0
        assert run.settings["level_v"] == 0.3
        assert run.settings["function"] == "impedance_tan_delta"
        quantities = {row.quantity for row in book.readings(job)}
    assert quantities == {"capacitance", "tan_delta"}


def test_temperature_is_kept_where_it_is_told(sitting):
    sitting.by_itself("D1").log(temperature_degc=23.5)
    assert {row.temperature_degc for row in sitting.rows("D1")} == {23.5}


def typed(sitting, *, hands_free=True, **more):
    return part_by_part.log_parts(
        sitting.book,
        JOB,
        keys=sitting.keys,
        show=sitting.shown,
        bridge=meter_meant(KEYBOARD, {}),
        manner=Manner(hands_free=hands_free),
        today_year=YEAR,
        **more,
    )


def test_the_person_is_the_meter(sitting):
    sitting.on("Type 'all discharged'", "key all discharged")
    sitting.on("capacitance, like", "key 47", "key 34.6 µF").on("ESR, like", "key 2R7")
    assert typed(sitting).done == ["D1"]
    rows = sitting.rows("D1", None)
    assert [(row.quantity, row.value) for row in rows] == [
        ("capacitance", pytest.approx(34.6e-6)),
        ("esr", 2.7),
    ]
    assert {row.raw for row in rows} == {"34.6 µF; 2R7"}
    with sitting.opened() as (book, job):
        assert book.runs(job)[-1].kind == "typed"
    assert typed(sitting, resume=True).done == []


def test_the_person_is_asked_for_no_reading_of_a_charged_part(tmp_path):
    with Sitting(tmp_path, CHARGED) as sitting:
        sitting.do("clip D5")
        sitting.on("CHARGE D5 HOLDS 12 V", "discharge D5")
        sitting.on("capacitance, like", "key 45 µF").on("ESR, like", "key 1R6")
        assert typed(sitting, voltmeter=sitting.meter("voltmeter")).done == ["D5"]
        said = sitting.shown.lines
        holds = next(n for n, line in enumerate(said) if "HOLDS 12 V" in line)
        assert holds < next(n for n, line in enumerate(said) if line.startswith("taken"))


@pytest.mark.parametrize(
    ("said", "skipped", "ended"),
    [("key s", ["D1"], ""), ("key Q", [], "ended by the person")],
)
def test_the_person_may_pass_over_or_end_in_place_of_a_value(sitting, said, skipped, ended):
    sitting.on("Type 'all discharged'", "key all discharged").on("capacitance, like", said)
    summary = typed(sitting)
    assert (summary.skipped, summary.ended) == (skipped, ended)


def test_in_place_of_a_value_looks_and_notes_are_kept_and_the_value_is_asked_for_again(sitting):
    sitting.on("Type 'all discharged'", "key note rattles", "key all discharged")
    sitting.on("capacitance, like", "key l bulged", "key 34.6 µF")
    sitting.on("ESR, like", "key n hums", "key ?", "key 2R7")
    assert typed(sitting).done == ["D1"]
    assert sitting.looks() == [("D1", "bulged")]
    assert [text for kind, _, text in sitting.events() if kind == "note"] == ["rattles", "hums"]
    assert {row.raw for row in sitting.rows("D1", None)} == {"34.6 µF; 2R7"}
    assert len(sitting.shown.having("in place of one: r redo the part")) == 2  # at first, and at ?


def test_a_part_is_begun_anew_in_place_of_a_value(sitting):
    sitting.on("Type 'all discharged'", "key all discharged")
    sitting.on("capacitance, like", "key 33 µF", "key 34.6 µF").on("ESR, like", "key r", "key 2.7")
    assert typed(sitting).taken == 1
    assert {row.raw for row in sitting.rows("D1", None)} == {"34.6 µF; 2.7"}
    assert sitting.shown.having("redo   D1")


def test_the_part_before_is_come_back_to_in_place_of_a_value(tmp_path):
    with Sitting(tmp_path, PARTS[:2]) as sitting:
        sitting.on("Type 'all discharged'", "key all discharged")
        sitting.on("capacitance, like", "key 33 µF", "key back", "key 34.6 µF", "key 104 µF")
        sitting.on("ESR, like", "key 2", "key 2.7", "key 0.9")
        sitting.on("D1 has answer 1.1: r strikes", "key r")
        assert typed(sitting).done == ["D1", "D3"]
        counting = [row.raw for row in sitting.rows("D1", None) if not row.struck]
        assert counting == ["34.6 µF; 2.7"] * 2
        assert sitting.shown.having("kept   2 parts, 2 answers, and 1 struck out")


def test_while_the_voltmeter_refuses_the_keys_are_obeyed(tmp_path):
    with Sitting(tmp_path, CHARGED) as sitting:
        sitting.do("clip D5")
        sitting.on("CHARGE D5 HOLDS 12 V", "key n too hot; key skip")
        assert typed(sitting, voltmeter=sitting.meter("voltmeter")).skipped == ["D5"]
        assert ("note", "D5", "too hot") in sitting.events()


def test_the_end_of_the_input_ends_it_safely(sitting):
    def over():
        sitting.keys.ended = True

    sitting.on("Type 'all discharged'", "key all discharged").on("capacitance, like", over)
    assert typed(sitting).ended == "the input has ended"


BENCH = {"bridge": BenchMeter("bridge", "TCPIP::127.0.0.1::5025::SOCKET", "lcr_scpi_values_status")}


def test_a_meter_is_meant_by_its_name_an_address_or_the_keyboard():
    assert meter_meant("bridge", BENCH).address == "TCPIP::127.0.0.1::5025::SOCKET"
    assert meter_meant("bridge", BENCH, profile="mine").profile == "mine"
    assert meter_meant("ASRL/dev/ttyUSB0::INSTR", {}, profile="serial_query") == MeterAt(
        "meter", "ASRL/dev/ttyUSB0::INSTR", "serial_query"
    )
    assert meter_meant(KEYBOARD, BENCH).by_hand


@pytest.mark.parametrize(
    ("meant", "message"),
    [
        ("ammeter", r"meter ammeter: not on the bench \(bridge\); name one of --bench"),
        ("ASRL/dev/ttyUSB0::INSTR", "what kind of meter is it\\? Give its profile with --as"),
    ],
)
def test_a_meter_that_cannot_be_meant_is_refused(meant, message):
    with pytest.raises(ProfileError, match=message):
        meter_meant(meant, BENCH)


def test_an_unknown_part_is_refused_with_those_there_are(sitting):
    with pytest.raises(BookError, match="job drawer has no part X9; it has D1"):
        sitting.stream("ammeter", part="X9")


def test_a_job_without_parts_is_refused(tmp_path):
    with (
        Sitting(tmp_path, []) as sitting,
        pytest.raises(BookError, match="job drawer has no parts; give a list of them with --parts"),
    ):
        sitting.log()


def test_a_job_that_is_not_there_is_refused_and_the_book_is_let_go(sitting):
    with pytest.raises(BookError, match="other"):
        jobs.log_stream(
            sitting.book,
            "other",
            keys=sitting.keys,
            show=sitting.shown,
            meter=sitting.meter("ammeter"),
            function="dc_current",
        )


def test_a_policy_that_is_not_there_is_refused_before_a_meter_is_touched(sitting):
    with pytest.raises(PolicyError, match="no-such"):
        sitting.log(policy="no-such")
    assert sitting.events() == []


def test_a_bridge_that_is_not_there_at_the_start_is_refused(sitting):
    sitting.do("unplug bridge")
    with pytest.raises(Gone, match="bridge"):
        sitting.log()
    assert sitting.rows() == []


def test_meters_are_let_go_and_no_thread_is_left(sitting):
    before = threading.active_count()
    sitting.by_itself("D1").log()
    assert threading.active_count() == before
    sitting.by_itself("D1").log()  # a second one may have the meters


def test_what_was_kept_is_told_where_the_book_fails(sitting, monkeypatch):
    kept = Book.keep
    left = [2]

    def full(self, *args, **more):
        left[0] -= 1
        if left[0] < 0:
            raise BookError("bench.book: the disk is full; nothing of this reply was kept")
        return kept(self, *args, **more)

    monkeypatch.setattr(Book, "keep", full)
    sitting.by_itself("D1")
    with pytest.raises(BookError, match="the disk is full"):
        sitting.log()
    assert sitting.shown.having("kept   0 parts, 2 answers")
    assert len(sitting.shown.having("taken  ")) == len(sitting.rows("D1")) == 2


SEE_TO_LEADS = "switch off, then see to the leads of the meter and of the part"


@pytest.mark.parametrize(
    ("soak_s", "current", "said"),
    [
        (60.0, 1e-3, "below the limit of 1.2 mA, that of 5 min, already"),
        (60.0, 2e-3, "above 1.2 mA; not judged before 5 min, it may still fall"),
        (60.0, 7e-3, "above 1.2 mA; not judged before 5 min, it may still fall"),
        (300.0, -1e-9, "below the limit of 1.2 mA"),  # the noise of an ammeter
        (300.0, -4.8e-3, f"REVERSED: {SEE_TO_LEADS}"),
        (300.0, 1e-3, "below the limit of 1.2 mA"),
        (300.0, 2e-3, "ABOVE the limit of 1.2 mA"),
        (300.0, -1.1e-5, "below the limit of 1.2 mA"),
        (300.0, -1.3e-5, f"REVERSED: {SEE_TO_LEADS}"),  # more than a hundredth of it
        (9.9, 40e-3, "above 1.2 mA; not judged before 5 min, it may still fall"),  # it charges
        (10.1, 40e-3, "SWITCH OFF: 33 times the limit of 1.2 mA"),
        (10.1, 23e-3, "above 1.2 mA; not judged before 5 min, it may still fall"),
        (10.1, 25e-3, "SWITCH OFF: 21 times the limit of 1.2 mA"),
        (300.0, float("nan"), ""),
    ],
)
def test_what_a_current_means_at_its_time(soak_s, current, said):
    assert SoakLimit(1.2e-3, 300.0).says(soak_s, current) == said
    assert SoakLimit().says(soak_s, current) == ""


def test_the_limit_is_a_line_from_the_time_it_is_stated_for_on():
    limit = SoakLimit(1.2e-3, 300.0)
    assert limit.line(3600.0) == ((300.0, 1.2e-3), (3600.0, 1.2e-3))
    assert limit.line(300.0) == limit.line(10.0) == ((300.0, 1.2e-3),)
    assert SoakLimit().line(3600.0) == ()
