"""Answers of a bridge as a test scripts them, and a capture that is fed them."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from math import isnan, nan

from captriage.bench.capture import Capture
from captriage.bench.contact import OpenClips
from captriage.bench.manner import NO_PART, Manner
from captriage.bench.measured import Answer, Value
from captriage.bench.pace import Pace
from captriage.bench.steadiness import Steadiness

START = datetime(1959, 5, 1, tzinfo=UTC)
HZ = 120.0
NOISE = 1e-3  # of the reading, largest difference of a steady part
STEP_S = 0.1


def answer(at, capacitance, esr=1.0, *, raw=None, flag="", range_high=nan):
    """An answer of a bridge in series mode, at this time."""
    values = tuple(
        Value(
            quantity,
            number,
            uncertainty,
            flag=flag if isnan(number) else "",
            range_high=range_high if isnan(number) else nan,
        )
        for quantity, number, uncertainty in (
            ("capacitance", capacitance, 0.004 * abs(capacitance)),
            ("esr", esr, 0.01),
        )
    )
    text = f"{capacitance:+.6E},{esr:+.6E},+0" if raw is None else raw
    return Answer(values, text, START + timedelta(seconds=at), at)


def noise(quantity, value):
    del quantity
    return NOISE * abs(value)


class Scripted:
    """A capture, and the bridge and the hand that it sees; everything it files is kept."""

    def __init__(
        self, rated=32e-6, *, clips=None, before=NO_PART, occupied=False, seed=1, **manner
    ):
        self.clips = clips or OpenClips(frequency_hz=HZ)
        self.steady = Steadiness(noise, frequency_hz=HZ)
        manner = Manner(**manner)
        self.capture = Capture(
            self.clips,
            self.steady,
            pace=Pace(manner.gap_s),
            manner=manner,
            capacitance_rated=rated,
            before=before,
            occupied=occupied,
        )
        self.at = 0.0
        self.random = random.Random(seed)
        self.kept = []  # what counts
        self.struck = []
        self.said = []
        self.gaps = []

    @property
    def state(self):
        return self.capture.state

    def take(self, turn):
        if turn.void:
            self.struck += self.kept
            self.kept = []
        if turn.taken is not None:
            self.kept.append(turn.taken)
        if turn.said is not None:
            self.said.append(turn.said)
        if turn.gap_s:
            self.gaps.append(turn.gap_s)
        return turn

    def feed(self, *answers):
        return [self.take(self.capture.answered(each)) for each in answers]

    def show(self, capacitance, esr=1.0, *, times=1, noisy=True, step_s=STEP_S, **more):
        """The bridge shows this so many times, with noise of its own."""
        for _ in range(times):
            self.at += step_s
            wander = 1 + 0.4 * NOISE * self.random.uniform(-1, 1) * noisy
            self.feed(answer(self.at, capacitance * wander, esr * wander, **more))

    def open(self, times=1):
        self.show(2e-12, 3e6, times=times)

    def until(self, state, capacitance, esr=1.0, *, most=400, **more):
        """The bridge goes on showing this until the capture is in this state."""
        for _ in range(most):
            if self.state is state:
                return
            self.show(capacitance, esr, **more)
        raise AssertionError(f"still {self.state} after {most} answers")

    def press(self, after_s=1.0):
        self.at += after_s
        return self.take(self.capture.pressed(self.at))

    def lose(self, why="the meter was silent"):
        return self.take(self.capture.lost(why))
