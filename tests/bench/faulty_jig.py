"""A part in the jig, soaked or streamed by a meter that fails, and what its current truly was."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite

from bench.at_the_bench import FastClock
from bench.failing import Failing
from captriage.bench.rehearsal.multimeter import HAND_HELD_NOISE, NOISE, NOISY_TIMES
from captriage.bench.soak_plan import Plan

PART = "D1"
PARTS = [{"part": PART, "capacitance_rated": 32e-6, "voltage_rated": 450.0, "made": 1962.0}]
VOLTS = 390.0
TIMES = 40.0  # seconds of the bench in each real one
PLAN = Plan(VOLTS, until_s=36.0, every_s=1.0)
NEAR_S = 8.0  # the end
SOAK_STEPS = ("before", "start", "middle", "end")
"""Before the voltage is applied; as the soak clock starts; at the sixth reading; near the last."""

SOAK_FAULTS = (
    *("silence", "late", "garbage", "echo", "dropped", "terminator"),
    *("over-range", "noise", "unplug", "stranger", "deaf"),
)
UNASKED = ("echo", "stranger", "deaf")
"""Faults that a meter which is never asked cannot show."""
STREAM_FAULTS = tuple(fault for fault in SOAK_FAULTS if fault not in UNASKED)
STREAM_STEPS = ("start", "middle", "end")
STREAM_S = 0.8
LAST_S = 0.4
STREAM_EVERY_S = 0.07  # less than the timeout, and more than half of it: a missing line is missed
SMALLEST_RANGE = 1e-4  # A, of the simulated meter
SIGMAS = 6.0
MOST_RANGE = 10.0  # times the reading, that a range of the simulated meters may end at

WATCHED_S = 3.0  # of the bench: from the knob to the key, or to the jump, on a loaded machine


@dataclass(frozen=True)
class Current:
    """One measurement of the meter in the jig: the current while it was made."""

    at_s: float  # of the bench
    raw: str
    least: float
    most: float
    fault: str


class JigSitting(Failing):
    """A part in the jig; the person applies the voltage once the meter answers."""

    def __init__(self, folder, case, *, meter, times=1.0):
        case.meter, case.part = meter, PART
        super().__init__(folder, [case], PARTS, stream_every_s=STREAM_EVERY_S)
        self.clock = FastClock(times)
        self.case = case
        self.measured: list[Current] = []
        self.applied_s = None
        self._watch(self.bench.ports[meter].instrument)

    def __enter__(self):
        super().__enter__()
        self.do(f"jig {PART}")
        return self

    def _watch(self, meter):
        for name in ("answer", "unasked"):
            setattr(meter, name, self._watching(meter, getattr(meter, name)))

    def _watching(self, meter, measure):
        def watched(*line):
            before, first = meter.readings, self.bench.wiring.jig_current()
            reply = measure(*line)
            if meter.readings != before:
                last = self.bench.wiring.jig_current()
                fault = meter.fault if meter.struck else ""
                now = self.clock.monotonic()
                self.measured.append(Current(now, reply, min(first, last), max(first, last), fault))
            return reply

        return watched

    # The person

    def apply(self, *, press=True):
        """Turn the knob up, and press Enter in that moment."""
        if self.applied_s is None:
            self.applied_s = self.clock.monotonic()
            self.do(f"knob {VOLTS:g}")
            if press:
                self.type("")

    def meter(self, name):
        """The one that fails, whatever it is called for."""
        del name
        return super().meter(self.case.meter)

    def at(self, step):
        """The fault begins, if this is its step."""
        if self.case.begun is None and self.case.step == step:
            self.inject(self.case)

    # What has come of it

    def check(self, quantity, *, noise):
        """Every value is the truth of its own moment; the fault struck, was told and is kept."""
        rows = self.rows(None, None)
        for row in rows:
            self._check_row(row, quantity, noise)
        self.check_told(self.case)
        return rows

    def _check_row(self, row, quantity, noise):
        assert (row.quantity, row.struck) == (quantity, ""), row
        own = self._own(row)
        if not isfinite(row.value):
            assert row.flag.startswith(("over range", "no reading")), row
            return
        assert own.fault != "over-range", f"{row}: a number that was not meant: {own}"
        assert isfinite(row.uncertainty), row
        share = noise * (NOISY_TIMES if own.fault == "noise" else 1)
        # The ranges of the simulated meters lie a factor of ten apart.
        allowed = row.uncertainty + SIGMAS * share * max(MOST_RANGE * own.most, SMALLEST_RANGE)
        assert own.least - allowed <= row.value <= own.most + allowed, f"{row}: {own}"

    def _own(self, row):
        """The measurement that a row must be of: the latest, for a meter that is asked."""
        made = [each for each in self.measured if each.at_s <= row.monotonic_s]
        if self.case.meter != "stream":
            assert made, f"{row}: nothing had been measured"
            assert made[-1].raw == row.raw, f"{row}: not the answer to its own question: {made[-1]}"
            return made[-1]
        same = [each for each in made if each.raw == row.raw]
        assert same, f"{row}: was never sent"
        return same[-1]


class SoakSitting(JigSitting):
    """Soaked; the voltage is applied as the program asks for it, or when the fault is over."""

    def _struck(self, meter, kind):
        super()._struck(meter, kind)
        case = self.case
        over = case.struck and not self.bench.faults[case.meter].kind
        if over and (case.fault, case.step) == ("noise", "before"):
            self.apply()  # nothing is seen of it

    def _happened(self, line):
        super()._happened(line)
        case = self.case
        if line.startswith("ready  apply"):
            self._ready()
        elif "the soak clock does not run" in line:
            if case.struck and not self.bench.faults[case.meter].kind:
                self.apply()
        elif line.startswith("soak   "):
            self.at("start")
        elif line.startswith("taken  "):
            if "answer 1.5 " in line:
                self.at("middle")
            soaked = re.search(r"after ([\d.]+) s at", line)
            if soaked and float(soaked[1]) >= PLAN.until_s - NEAR_S:
                self.at("end")

    def _ready(self):
        case = self.case
        if case.step != "before":
            self.apply()
        elif case.fault in ("unplug", "stranger", "deaf"):
            self.inject(case)
        else:
            self.inject(case, after=4)  # the calm that a jump is seen against comes first


class StreamSitting(JigSitting):
    """Streamed, with the voltage on."""

    def __init__(self, folder, case):
        super().__init__(folder, case, meter="stream")
        self.ends_s = self.clock.monotonic() + STREAM_S

    def _happened(self, line):
        super()._happened(line)
        if line.startswith("run    "):
            self.ends_s = self.clock.monotonic() + STREAM_S
        elif "answer 1.1 " in line:  # the first that is whole for sure: none is kept before
            self.at("start")
        elif "answer 1.4 " in line:
            self.at("middle")
        elif line.startswith("taken  ") and self.clock.monotonic() > self.ends_s - LAST_S:
            self.at("end")


def soaked(folder, case, *, meter="ammeter"):
    """Soak a part with a fault in it; what was kept is true, and its soak time too."""
    with SoakSitting(folder, case, meter=meter, times=TIMES) as sitting:
        summary = sitting.soak(PART, PLAN, clock=sitting.clock)
        noise = NOISE if meter == "ammeter" else HAND_HELD_NOISE
        rows = sitting.check("leakage_current", noise=noise)
        assert summary.taken == len(rows)
        starts = [row.monotonic_s - row.soak_s for row in rows]
        assert all(abs(start - starts[0]) < 1e-6 for start in starts)
        assert all(-1e-6 <= start - sitting.applied_s <= WATCHED_S for start in starts)
        assert {row.voltage_v for row in rows} <= {VOLTS}
        assert summary.ended in ("", "not one reading was taken")
        assert bool(rows) == (summary.ended == "")
        assert sitting.shown.having("END    switch the voltage off now")
        case.outcome = "ended safely" if summary.ended else "went on"


def streamed(folder, case):
    """Keep what a meter streams, with a fault in it."""
    with StreamSitting(folder, case) as sitting:
        sitting.apply(press=False)
        summary = sitting.stream(until_s=STREAM_S, part=PART, clock=sitting.clock)
        rows = sitting.check("current", noise=HAND_HELD_NOISE)
        assert rows
        assert (summary.taken, summary.ended) == (len(rows), "")
        case.outcome = "went on"
