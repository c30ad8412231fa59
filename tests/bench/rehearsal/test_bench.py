"""The whole rehearsal over its real wires, spoken to with plain sockets."""

from __future__ import annotations

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench


def test_the_drawer_goes_through_the_clips_beep_by_beep():
    with RehearsalBench(pause_s=0.02) as bench, Caller(bench.addresses["bridge"]) as bridge:
        bridge.say("FUNC:IMP CSRS")
        bridge.say("FREQ 120")
        bridge.say("TRIG:SOUR BUS")
        bridge.ask("*TRG")  # the hand begins with the first reading
        for part in ("D1", "D2", "D3"):
            wait_until(lambda part=part: bench.wiring.clips == part)
            answer = bridge.ask("*TRG")
            while not answer.endswith(",+0"):  # while contact settles, some find none
                answer = bridge.ask("*TRG")
            capacitance, esr, _ = map(float, answer.split(","))
            truth = bench.truth(part)
            assert capacitance == pytest.approx(truth.capacitance, rel=1e-3)
            assert esr == pytest.approx(truth.esr, rel=1e-2)
            bridge.say("SYST:BEEP")
