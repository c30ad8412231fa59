"""Ctrl-C and other signals, in every phase of logging: a safe end that says what was kept."""

import shlex
import signal
from itertools import takewhile

import pytest

from bench.at_the_bench import CHARGED, PARTS
from bench.logging_process import Bench, figures_in
from captriage.store.book import Book

MORE = [pytest.param(each, marks=pytest.mark.ensemble) for each in (signal.SIGTERM, signal.SIGHUP)]
SIGNALS = [signal.SIGINT, *MORE]
SAID = {signal.SIGINT: "stopped by Ctrl-C"}
LONG = ("--readings", 1000)
WAITS = 0.1  # s, until what was shown is followed by waiting

# phase: what the bench does at a line, the line after which it is stopped, whether the hand works
WALK = {
    "waiting for the part": ({}, "ready  ", False),
    "settling": ({}, "D1 is in the clips", True),
    "taking": ({}, "taken  D1  answer 1.3", True),
    "giving the verdict": ({}, "done   ", False),
    "waiting for the part to come off": ({}, "next: ", False),
    "asking what to do": ({"D1 is in the clips": ["fault bridge echo"]}, "ask    ", True),
    "connecting again": ({"taken  D1": ["unplug bridge"]}, "gap    ", True),
    "waiting for an answer": ({"answer 1.2": ["fault bridge silence"]}, "answer 1.2", True),
    "waiting for a charge to go": ({"ready  ": ["clip D5"]}, "CHARGE ", False),
}
SOAK = {
    "waiting for the voltage": "ready  ",
    "soaking": "taken  D1",
    "connecting again": "gap    ",
}
OFTEN = {"taking", "connecting again", "soaking", "at a prompt"}


def often(phases):
    """Those that are tried every time, and the others, which are tried in ensembles."""
    ensemble = pytest.mark.ensemble
    return [each if each in OFTEN else pytest.param(each, marks=ensemble) for each in phases]


@pytest.fixture
def bench(tmp_path, request):
    with Bench(tmp_path, getattr(request, "param", PARTS[:1])) as at_work:
        yield at_work


def assert_ended_safely(bench, running, number, *, status=1, complete=False):
    """It said what was kept and why it ended; the book has that, and why.

    Where all was done by then, there is nothing that the signal broke off.
    """
    assert running.end(within_s=20) == (0 if complete else status), (running.lines, running.error)
    why = "the list was walked to its end" if complete else SAID.get(number, "stopped by a signal")
    assert running.error == ""
    kept = running.having("kept   ")[0]
    assert complete or running.having(why)
    with Book.open(bench.book) as book:
        job = book.job("drawer").id
        assert book.check() == []
        assert set(running.shown()) <= figures_in(book, job)
        assert book.events(job)[-1].kind == "stopped"
        assert book.events(job)[-1].text == why
        answers = {row.answer for row in book.readings(job)}
        assert f"{len(answers)} " in kept
        return [row for row in book.readings(job) if not row.struck]


@pytest.mark.parametrize("number", SIGNALS[:2])
@pytest.mark.parametrize("phase", often(WALK))
def test_a_walk_ends_safely(start, tmp_path, phase, number):
    script, line, willing = WALK[phase]
    charged = phase == "waiting for a charge to go"
    with Bench(tmp_path, CHARGED if charged else PARTS[:1]) as bench:
        for text, actions in script.items():
            bench.on(text, *actions)
        few = phase in ("waiting for the part to come off", "giving the verdict")
        arguments = bench.by_hand_free(*(("--readings", 3) if few else LONG))
        if phase == "waiting for an answer":
            bench.file("bridge", "voltmeter", timeout_s=1.0)
        running = start(bench, arguments)
        if few:
            assert running.follow(lambda shown: "D1 is in the clips" in shown)
        bench.willing = willing
        found = running.follow(lambda shown: line in shown)
        assert found, running.error
        bench.shown.line(found)
        if phase not in ("settling", "taking", "giving the verdict"):
            running.follow(for_s=WAITS)
        running.send(number)
        counting = assert_ended_safely(bench, running, number, complete=few)
        assert {row.part for row in counting} == ({"D1"} if few else set())
        if phase != "connecting again":
            assert bench.heard["bridge"][-1] == "BIAS:STAT 0"
        if not charged and not few:
            assert running.having("left: D1")
            assert advised(running) == ["captriage", *arguments, "--resume"]


def advised(running):
    """Words of the command that is shown for going on."""
    at = running.lines.index("       go on with these parts:") + 1
    shown = takewhile(lambda line: line.startswith("       "), running.lines[at:])
    return shlex.split(" ".join(line.rstrip("\\") for line in shown))


@pytest.mark.parametrize("number", SIGNALS)
def test_a_question_is_no_reason_to_stay(start, bench, number):
    arguments = bench.by_hand_free("--voltmeter", "none")
    running = start(bench, arguments)
    running.prompts("discharged? ")
    running.follow(for_s=WAITS)
    running.send(number)
    assert assert_ended_safely(bench, running, number) == []


@pytest.mark.parametrize("number", SIGNALS[:2])
@pytest.mark.parametrize("phase", often(SOAK))
def test_a_soak_ends_safely_and_says_how_to(start, bench, phase, number):
    bench.willing = False
    bench.do("jig D1")
    if phase != "waiting for the voltage":
        bench.on("ready  ", "knob 390;key ")
    if phase == "connecting again":
        bench.on("taken  ", "unplug ammeter")
    file = bench.file("ammeter")
    arguments = ["log", "soak", "D1", "--voltage", 390, "--book", bench.book, "--job", "drawer"]
    running = start(bench, [*arguments, "--bench", file, "--every", "0.2s"])
    bench.shown.line(running.follow(lambda shown: shown.startswith(SOAK[phase])))
    running.follow(for_s=WAITS)
    running.send(number)
    counting = assert_ended_safely(bench, running, number)
    assert bool(counting) == (phase != "waiting for the voltage")
    assert running.having("END    switch the voltage off now; before you touch D1, discharge it:")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize(("until", "status"), [(("--until", "1h"), 1), ((), 0)])
def test_a_stream_ends_safely(start, bench, number, until, status):
    running = start(bench, bench.streaming(*until))
    running.follow(lambda line: "answer 1.20 " in line)
    running.send(number)
    counting = assert_ended_safely(bench, running, number, status=status)
    assert len(counting) >= 20


@pytest.mark.parametrize("number", SIGNALS[:2])
def test_a_second_signal_ends_it_where_it_stands(start, bench, number):
    """It hangs in an answer that never comes; the first would wait for that to be given up."""
    bench.on("taken  D1  answer 1.2", "fault bridge silence")
    file = bench.file("bridge", "voltmeter", quick=False)  # 5 s for an answer
    arguments = ["log", "--bench", file, "--book", bench.book, "--job", "drawer", "--hands-free"]
    running = start(bench, [*arguments, *LONG])
    bench.shown.line(running.follow(lambda line: "taken  D1  answer 1.2" in line))
    running.follow(for_s=WAITS)
    running.send(number)
    running.follow(for_s=WAITS)
    running.send(number)
    assert running.end(within_s=4) == 130
    assert running.having("kept   0 parts, ")
    assert running.error == "captriage: stopped\n"
    with Book.open(bench.book) as book:
        assert book.check() == []
        assert set(running.shown()) <= figures_in(book, book.job("drawer").id)


ON_A_TERMINAL = {
    "waiting for the part": "ready  ",
    "taking": "D1 is in the clips",
    "at a prompt": "ready  ",
    "waiting for the part to come off": "done   ",
}


@pytest.mark.parametrize("how", ["typed", *MORE])
@pytest.mark.parametrize("phase", often(ON_A_TERMINAL))
def test_a_terminal_is_put_back_as_it_was(start, bench, phase, how):
    readings = ("--readings", 3) if phase == "waiting for the part to come off" else LONG
    running = start(bench, bench.by_hand_free(*readings), terminal=True)
    bench.willing = phase in ("taking", "waiting for the part to come off")
    line = running.follow(lambda shown: ON_A_TERMINAL[phase] in shown)
    if not bench.willing:
        assert line
    bench.willing = False
    if phase == "at a prompt":
        running.type("n")
        running.prompts("note on D1: ")
        running.type("half a no")
    running.follow(for_s=WAITS)
    if how == "typed":
        running.type("\x03")
    else:
        running.send(how)
    number = signal.SIGINT if how == "typed" else how
    complete = phase == "waiting for the part to come off"
    assert running.end(within_s=20) == (0 if complete else 1), running.lines
    assert running.terminal_is == running.terminal_was
    assert complete or running.having(SAID.get(number, "stopped by a signal"))
    assert running.having("kept   ")
    assert bench.heard["bridge"][-1] == "BIAS:STAT 0"
