"""Faults of the bench in a reforming run, the phases at which they strike, and what came of it."""

from __future__ import annotations

import re
import threading
import time
from collections import defaultdict
from dataclasses import dataclass
from math import isfinite

import pytest

from bench.reforming_bench import PART, ReformSitting, quick_plan, sound
from captriage.errors import CapTriageError
from captriage.store.book import Book

WIRE_FAULTS = ("silence", "late", "garbage", "echo", "dropped", "terminator")
METER_FAULTS = ("over-range", "noise", "stuck", "stranger", "deaf", "unplug")
SUPPLY_FAULTS = ("drift", "stuck-on")
JIG_FAULTS = ("slip on", "resistor 300")

PHASES = {
    # phase: the line of the screen at which the fault is switched on
    "before": "run    1 in ",
    "ramp": "raising:",
    "hold": "step 1 of 1, 40 V: reached",
    "lowering": "lowering the voltage",
    "discharge": "END    do not touch",
}
CASES = [
    *(("supply", fault, phase) for fault in WIRE_FAULTS + METER_FAULTS for phase in PHASES),
    *(("supply", fault, phase) for fault in SUPPLY_FAULTS for phase in ("ramp", "hold")),
    *(
        ("ammeter", fault, phase)
        for fault in WIRE_FAULTS + METER_FAULTS
        for phase in ("before", "ramp", "hold", "lowering")
    ),
    *(
        ("voltmeter", fault, phase)
        for fault in ("silence", "garbage", "over-range", "stuck", "unplug")
        for phase in ("before", "hold", "discharge")
    ),
    *(("jig", fault, phase) for fault in JIG_FAULTS for phase in ("ramp", "hold")),
]
OFF_WITHIN_S = 2.0

STOPPING = {"silence", "late", "garbage", "dropped", "terminator", "echo", "unplug", "over-range"}
"""Faults after which nothing is known of a supply or an ammeter: the output goes off in time."""

SAID = {
    # fault: what the person is told; another text where nothing needs to be told
    "silence": r"no answer|tells nothing|no longer answers|tells no voltage",
    "late": r"no answer|tells nothing|no longer answers",
    "garbage": r"is not ASCII text|no longer answers|dc_voltage: |dc_current: |VOLT|OUTP|tells no",
    "echo": r"echoes|more than one line|no longer answers|came where the echo",
    "dropped": r"closed the connection|no longer answers|tells nothing",
    "terminator": r"without the line end|no longer answers|is not ASCII text",
    "unplug": r"closed the connection|connection refused|the port is gone|not connected|tells no",
    "over-range": r"over range|tells no voltage",
    "drift": r"it gives .* and was set to|a protection has tripped",
    "slip on": r"clip has slipped|clip holds nothing|on the part, where|no current is seen",
    "resistor 300": r"resistor",
}


@dataclass
class Case:
    """One fault in one phase."""

    meter: str
    fault: str
    phase: str
    outcome: str = ""
    off_s: float = float("nan")  # from the fault to the output being off

    def __str__(self):
        return f"{self.meter} {self.fault} at {self.phase}"


class FaultySitting(ReformSitting):
    """A run with one fault in it; it ends when the person would have noticed."""

    def __init__(self, folder, case):
        super().__init__(folder, part=sound(), reforming=True, answers=False)
        self.case = case
        self.struck_at = None
        self.off_at = None
        self._ends = threading.Event()
        self._looks = threading.Thread(target=self._look, daemon=True)
        self._timers = []
        if case.phase == "ramp":
            self.on(PHASES["ramp"], *[self.strike_once_it_is_on] * 40)
        elif case.phase != "discharge":
            self.on(PHASES[case.phase], self.strike)
        self.on("is not known to be off: PULL ITS PLUG", self.clear_soon)
        self.on(PHASES["discharge"], self.at_the_end)
        self.on("tells no voltage", *[self.clear_soon] * 3)
        self.on("type the volts that are shown", *["key 0.1 V"] * 9)
        self.answers()

    def __enter__(self):
        super().__enter__()
        self._looks.start()
        return self

    def __exit__(self, *error):
        for timer in self._timers:
            timer.cancel()
            timer.join()
        self.clear()
        self._ends.set()
        self._looks.join()
        super().__exit__(*error)

    def gives(self):
        """Whether the supply truly feeds the jig, whatever it says."""
        return isfinite(self.bench.wiring.jig_source().resistance_ohm)

    def _look(self):
        was_on = False
        while not self._ends.wait(0.003):
            on = self.gives()
            if was_on and not on:
                self.off_at = time.monotonic()
            was_on = on

    def strike_once_it_is_on(self):
        """Switch the fault on while the voltage is raised."""
        if self.struck_at is None and self.gives():
            self.strike()

    def strike(self):
        """Switch the fault on."""
        self.struck_at = time.monotonic()
        case = self.case
        if case.meter == "jig":
            self.do(case.fault)
        elif case.fault == "unplug":
            self.do(f"unplug {case.meter}")
        else:
            self.do(f"fault {case.meter} {case.fault}")

    def at_the_end(self):
        """The person discharges the part; the fault ends, or begins."""
        if self.case.phase == "discharge":
            self.strike()
            self.later(2.5, self.clear)
        else:
            self.clear_soon()
        self.later(1.5, lambda: self.do(f"discharge {PART}"))

    def later(self, seconds, act):
        """Do something after a while, unless all is over by then."""
        timer = threading.Timer(seconds, act)
        self._timers.append(timer)
        timer.start()

    def clear(self):
        """The fault ends."""
        case = self.case
        if case.meter == "jig":
            self.do("slip off; resistor 1000")
            return
        self.do(f"fault {case.meter} none")
        self.do(f"replug {case.meter}")

    def clear_soon(self):
        """It ends a moment after the person was told."""
        self.later(0.6, self.clear)


def reformed(folder, case):
    """Carry a run out with a fault in it; whatever comes of it, it ends safely and is told."""
    with FaultySitting(folder, case) as sitting:
        try:
            summary = sitting.run(quick_plan((40.0,), ramp_v_per_s=20.0), voltmeter="voltmeter")
        except CapTriageError as error:
            case.outcome = "refused"
            said = str(error)
            ended = said
        else:
            said = str(sitting.shown)
            ended = summary.ended or summary.off_fault
            case.outcome = "ended safely" if ended else "went on"
        sitting.clear()
        until_off(sitting, case)
        check(sitting, case, said, ended)


def until_off(sitting, case):
    """By now, or as soon as the fault is over, the output is off."""
    began = time.monotonic()
    while sitting.gives():
        assert time.monotonic() - began < OFF_WITHIN_S, f"{case}: still on"
        time.sleep(0.01)


def check(sitting, case, said, ended):
    """In time, in words, and all of it in the book."""
    if sitting.off_at is not None and sitting.struck_at is not None:
        case.off_s = sitting.off_at - sitting.struck_at
    under_power = case.phase in ("ramp", "hold")
    lost = case.meter == "supply" and case.fault == "unplug"  # no wire leads to it
    if under_power and case.meter in ("supply", "ammeter") and case.fault in STOPPING:
        assert ended, f"{case}: went on"
        if not lost:
            assert case.off_s <= OFF_WITHIN_S, f"{case}: off after {case.off_s:.2f} s"
    if under_power and case.fault == "slip on":
        assert ended, f"{case}: noughts were taken for health"
    if ended and under_power and case.fault in SAID:
        assert re.search(SAID[case.fault], said), f"{case}: {said}"
    with Book.open(sitting.book) as book:
        assert book.check() == [], case


class Outcomes:
    """What came of every case, as a table."""

    def __init__(self):
        self.cases = []

    def add(self, case):
        self.cases.append(case)

    def table(self):
        rows = defaultdict(dict)
        for case in self.cases:
            mark = {"went on": "+", "ended safely": ".", "refused": "-"}[case.outcome]
            time_s = "" if case.off_s != case.off_s else f" {case.off_s:.1f}"
            rows[f"{case.meter} {case.fault}"][case.phase] = mark + time_s
        lines = [f"{'':24}" + "".join(f"{phase:>11}" for phase in PHASES)]
        for name, cells in rows.items():
            lines.append(f"{name:24}" + "".join(f"{cells.get(p, ''):>11}" for p in PHASES))
        total = defaultdict(int)
        for case in self.cases:
            total[case.outcome] += 1
        said = ", ".join(f"{count} {what}" for what, count in sorted(total.items()))
        legend = "+ went on, . ended safely, - refused before power; s from the fault to output off"
        return "\n".join([*lines, f"{len(self.cases)} faults injected: {said} ({legend})"])


def fault_tests(cases):
    """The tests of these faults: one for each, and one that tells what came of them all.

    A file of tests has its own, so that two files can be worked through at once.
    """
    outcomes = Outcomes()

    @pytest.mark.ensemble
    @pytest.mark.parametrize(("meter", "fault", "phase"), cases, ids=lambda value: value)
    def test_a_fault_in_a_run(tmp_path, meter, fault, phase):
        case = Case(meter, fault, phase)
        reformed(tmp_path, case)
        outcomes.add(case)

    @pytest.mark.ensemble
    def test_what_came_of_the_runs_is_told(record_property):
        record_property("table", outcomes.table())
        assert len(outcomes.cases) == len(cases)

    return test_a_fault_in_a_run, test_what_came_of_the_runs_is_told
