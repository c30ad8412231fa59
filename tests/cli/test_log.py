"""The commands that log, as processes beside a rehearsal."""

import json
import signal
import subprocess
import threading
import time
from pathlib import Path

import pytest

from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.jobs.rehearsal import bench_text
from captriage.store.book import Book
from cli.processes import COMMAND, DRAWER, JOB, log, parts_sheet, rehearsal

PART = {"part": "D1", "capacitance_rated": 32e-6, "voltage_rated": 450.0, "made": 1962.0}
QUESTIONS = ("Enter files it", "Enter goes on", "Enter if", "Enter takes it")


def attended(running, *, within_s=100.0):
    """Lines of a log, whose questions are answered with Enter after a moment's thought."""
    lines, asked, until = [], False, time.monotonic() + within_s
    for line in running.stdout:
        assert time.monotonic() < until
        lines.append(line.rstrip("\n"))
        wants = any(question in line for question in QUESTIONS)
        if wants or (asked and line.startswith("done")):
            # What was filed by Enter reads like open clips: it takes another to go on.
            time.sleep(1.0 if wants else 2.0)
            running.stdin.write("\n")
            running.stdin.flush()
            asked = wants
    running.stdin.close()
    error = running.stderr.read()
    running.stderr.close()
    running.stdout.close()
    assert running.wait(timeout=20) == 0, error
    return lines


def judged(folder):
    told = subprocess.run(
        [*COMMAND, "judge", "--book", "bench.book", "--job", JOB, "--format", "json"],
        cwd=folder,
        capture_output=True,
        check=False,
    )
    return {row["part"]: row["verdict"] for row in json.loads(told.stdout)["verdicts"]}


def check_means(folder, parts):
    """Each mean lies within its uncertainty of the truth, five readings each."""
    truths = RehearsalBench()
    with Book.open(Path(folder) / "bench.book") as book:
        rows = [row for row in book.readings(book.job(JOB).id) if not row.struck]
    for part in parts:
        truth = truths.truth(part)
        for quantity, true in (("capacitance", truth.capacitance), ("esr", truth.esr)):
            read = [row for row in rows if (row.part, row.quantity) == (part, quantity)]
            assert len(read) == 5
            mean = sum(row.value for row in read) / 5
            assert abs(mean - true) <= read[0].uncertainty, (part, quantity, mean, true)


def hands_free(folder, count):
    sheet = parts_sheet(folder, count)
    return log(
        folder,
        *("--book", "bench.book", "--job", JOB, "--parts", sheet.name, "--hands-free"),
        *("--patience", "4"),
        stdin=subprocess.PIPE,
    )


def test_two_parts_go_from_the_clips_into_the_book_and_are_judged(tmp_path):
    names = ["D1", "D2"]
    with rehearsal(tmp_path):
        lines = attended(hands_free(tmp_path, 2))
    assert lines[-3].startswith("kept   2 parts, ")
    assert lines[-2].startswith("so far 2 parts: ")
    assert lines[-1] == f"       captriage judge --book bench.book --job {JOB}"
    check_means(tmp_path, names)
    assert list(judged(tmp_path)) == names


@pytest.mark.ensemble
def test_the_whole_drawer_goes_from_the_clips_into_the_book_and_is_judged(tmp_path):
    with rehearsal(tmp_path):
        lines = attended(hands_free(tmp_path, 12))
    text = "\n".join(lines)
    assert "kept   12 parts, " in text  # more answers than 60 where the loose rivet struck some
    assert "D5 HOLDS 12 V" in text
    check_means(tmp_path, ["D1", "D2", "D3", "D4", "D5", "D7", "D8", "D10", "D11", "D12"])
    verdicts = judged(tmp_path)
    assert verdicts["D4"] == verdicts["D6"] == verdicts["D7"] == "replace"
    assert verdicts["D9"] == "not judged"  # a short reads over range: an ohmmeter has to tell
    assert verdicts["D1"] == "reform"


@pytest.fixture
def in_process(tmp_path, monkeypatch):
    """A rehearsal in this process, its bench file and a book with the drawer where we stand."""
    monkeypatch.chdir(tmp_path)
    with RehearsalBench(automatic=False) as bench:
        Path("bench.toml").write_text(bench_text(bench), "utf-8")
        with Book.open("bench.book", create=True) as book:
            book.add_parts(book.add_job(JOB), [PART])
        yield bench


def test_a_soak_is_logged_to_its_end(in_process, captriage):
    in_process.command("jig D1")
    threading.Timer(2.0, lambda: in_process.command("knob 390")).start()  # after calm readings
    answer = captriage(
        *("log", "soak", "D1", "--job", JOB, "--voltage", 390, "--until", "1s", "--every", "0.1s")
    )
    assert (answer.status, answer.err) == (0, "")
    assert answer.out.count("taken  D1") >= 5
    assert "END    switch the voltage off now" in answer.out


def test_a_voltage_above_the_rated_one_is_refused(in_process, captriage):
    del in_process
    answer = captriage("log", "soak", "D1", "--job", JOB, "--voltage", 460)
    assert answer.status == 2
    assert answer.err == (
        "captriage: D1: 460 V is above its rated 450 V; at most 450 V is allowed\n"
    )


def test_a_stream_is_logged_for_its_time(in_process, captriage):
    del in_process
    answer = captriage("log", "stream", "--job", JOB, "--meter", "ammeter", "--until", "0.3s")
    assert (answer.status, answer.err) == (0, "")
    assert "answers in 0.3 s" in answer.out
    assert answer.out.endswith(f"captriage book list --book bench.book --job {JOB}\n")


def test_a_meter_that_cannot_tell_who_it_is_has_no_name_in_the_run(in_process, captriage):
    del in_process
    answer = captriage("log", "stream", "--job", JOB, "--until", "0.3s")
    assert answer.out.startswith(f"run    1 in bench.book, job {JOB}, stream\n")


def test_a_log_that_is_ended_early_gives_its_own_command_to_go_on(
    in_process, captriage, tmp_path, monkeypatch
):
    del in_process
    (tmp_path / "typed").write_text("q\n", encoding="utf-8")
    words = ("log", "stream", "--meter", "ammeter", "--job", JOB, "--until", "1h")
    with (tmp_path / "typed").open() as typed:
        monkeypatch.setattr("sys.stdin", typed)
        answer = captriage(*words)
    assert (answer.status, answer.err) == (1, "")
    assert answer.out.splitlines()[-1].split() == ["captriage", *words]


@pytest.mark.ensemble
def test_a_soak_and_a_stream_end_by_themselves_or_when_told(tmp_path):
    with rehearsal(tmp_path, "--hand", "by-command") as bench:
        subprocess.run(
            [*COMMAND, "book", "new", JOB, "--book", "bench.book"], cwd=tmp_path, check=True
        )
        subprocess.run(
            [*COMMAND, "book", "import", str(DRAWER), "--job", JOB, "--book", "bench.book"],
            cwd=tmp_path,
            check=False,
        )
        known = ("--book", "bench.book", "--job", JOB)
        bench.stdin.write("jig D1\n")
        bench.stdin.flush()
        soak = log(
            tmp_path,
            *("soak", "D1", *known, "--voltage", "390", "--until", "2s", "--every", "0.2s"),
            stdin=subprocess.PIPE,
        )
        for line in soak.stdout:
            if line.startswith("ready"):
                bench.stdin.write("knob 390\n")
                bench.stdin.flush()
                soak.stdin.write("\n")
                soak.stdin.flush()
                break
        said, error = soak.communicate(timeout=30)
        assert (soak.returncode, error) == (0, "")
        assert said.count("taken  D1") >= 5
        stream = log(
            tmp_path,
            "stream",
            *known,
            "--meter",
            "ammeter",
            "--until",
            "1h",
            stdin=subprocess.DEVNULL,
        )
        assert stream.stdout.readline().startswith("run ")
        stream.stdout.readline()
        stream.send_signal(signal.SIGINT)
        said, error = stream.communicate(timeout=30)
        assert (stream.returncode, error) == (1, "")
        assert "stopped by Ctrl-C" in said
        assert "answers in" in said


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("log",), "captriage: Missing option '--job'"),
        (("log", "--job", "x", "--readings", "0"), "captriage: Invalid value for '--readings'"),
        (("log", "--job", "x", "--meter", "bridge"), "captriage: meter bridge: not on the bench"),
        (
            ("log", "--job", "x", "--meter", "keyboard", "--book", "none.book"),
            "captriage: none.book: there is no such book",
        ),
        (("log", "soak", "D1", "--job", "x"), "captriage: Missing option '--voltage'"),
        (
            ("log", "soak", "D1", "--job", "x", "--voltage", "9", "--until", "soon"),
            "captriage: Invalid value for '--until': 'soon'; write a time above nought",
        ),
        (("log", "stream", "--job", "x"), "captriage: meter stream: not on the bench"),
        (
            ("log", "--job", "x", "--bench", "none.toml"),
            "captriage: none.toml: No such file or directory; name a bench file",
        ),
    ],
)
def test_what_cannot_be_begun_is_one_line_and_status_2(
    captriage, monkeypatch, tmp_path, arguments, message
):
    monkeypatch.chdir(tmp_path)
    answer = captriage(*arguments)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith(message)
    assert answer.err.count("\n") == 1


@pytest.mark.parametrize("name", ["parts", "soak", "stream"])
def test_each_way_of_logging_explains_itself(captriage, name):
    answer = captriage("log", name, "--help")
    assert answer.status == 0
    assert answer.out.startswith(f"Usage: captriage log {name}")
