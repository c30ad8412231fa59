"""The simulated bridge, spoken to over its socket."""

from __future__ import annotations

import math

import pytest

from bench.rehearsal.wires import Caller, wait_until
from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.bridge import DIALECTS, Bridge

OVERLOAD = "+9.90000E+37,+9.90000E+37,+1"


def put(bench, part):
    """Clip a part and wait until it makes firm contact."""
    bench.command(f"clip {part}")
    wait_until(lambda: bench.wiring.clock() - bench.wiring.clipped_at_s > bench.wiring.settling_s)


@pytest.mark.parametrize("part", ["D1", "D3", "D4", "D7", "D8", "D12"])
def test_good_contact_reads_the_truth(part, bench, bridge):
    put(bench, part)
    capacitance, esr, status = bridge.ask("*TRG").split(",")
    truth = bench.truth(part)
    assert status == "+0"
    assert float(capacitance) == pytest.approx(truth.capacitance, rel=1e-3)
    reactance = 1 / (2 * math.pi * 120 * truth.capacitance)
    assert float(esr) == pytest.approx(truth.esr, rel=1e-3, abs=5e-4 * reactance)


@pytest.mark.parametrize(("frequency_hz", "quantity"), [(120, "120"), (1e3, "1000"), (1e5, "1E5")])
def test_it_measures_at_the_frequency_it_was_set_to(frequency_hz, quantity, bench, bridge):
    put(bench, "D7")
    bridge.say(f"FREQ {quantity}")
    assert float(bridge.ask("FREQ?")) == frequency_hz
    _, esr, _ = bridge.ask("*TRG").split(",")
    assert float(esr) == pytest.approx(
        bench.wiring.specimens["D7"].impedance(frequency_hz).real, rel=2e-3
    )


def test_each_function_gives_what_it_is_named_for(bench, bridge):
    put(bench, "D4")
    truth = bench.truth("D4")
    c, r, d = truth.capacitance, truth.esr, truth.tan_delta
    z = math.hypot(r, r / d)
    expected = {
        "CSRS": (c, r),
        "CSD": (c, d),
        "CSQ": (c, 1 / d),
        "CPD": (c / (1 + d**2), d),
        "CPRP": (c / (1 + d**2), r * (1 + d**2) / d**2),
        "RX": (r, -r / d),
        "ZTD": (z, -math.degrees(math.atan(1 / d))),
        "ZTR": (z, -math.atan(1 / d)),
    }
    for function, pair in expected.items():
        bridge.say(f"FUNC:IMP {function}")
        assert bridge.ask("FUNC:IMP?") == function
        first, second, _ = map(float, bridge.ask("*TRG").split(","))
        assert (first, second) == pytest.approx(pair, rel=2e-3), function


def test_empty_clips_are_over_range_at_120_hz_and_picofarads_at_10_khz(bridge):
    assert bridge.ask("*TRG") == OVERLOAD
    bridge.say("FREQ 10000")
    capacitance, _, status = bridge.ask("*TRG").split(",")
    assert float(capacitance) == pytest.approx(2e-12, rel=0.01)
    assert status == "+0"


def test_open_part_is_picofarads_and_shorted_part_over_range(bench, bridge):
    put(bench, "D6")
    assert float(bridge.ask("*TRG").split(",")[0]) == pytest.approx(25e-12, rel=0.01)
    put(bench, "D9")
    assert bridge.ask("*TRG") == OVERLOAD


def test_charged_part_gives_a_number_with_a_status_that_forbids_it(bench, bridge):
    put(bench, "D5")
    first, second, status = bridge.ask("*TRG").split(",")
    assert status == "+3"
    assert 1e-6 < float(first) < 1e-3
    assert 0 < float(second) < 100


def test_intermittent_part_comes_and_goes(bench, bridge):
    put(bench, "D10")
    seen = set()

    def both_seen():
        seen.add(bridge.ask("*TRG").rpartition(",")[2])
        return seen == {"+0", "+1"}

    wait_until(both_seen, within_s=60)


def test_fresh_contact_bounces_before_it_holds():
    with (
        RehearsalBench(automatic=False, pause_s=0.01) as bench,
        Caller(bench.addresses["bridge"]) as bridge,
    ):
        bench.wiring.settling_s = 60.0
        bridge.say("FREQ 120")
        bench.command("clip D1")
        answers = {bridge.ask("FETC?").rpartition(",")[2] for _ in range(100)}
    assert answers == {"+0", "+1"}


def test_fetch_before_any_trigger_has_no_data(bridge):
    assert bridge.ask("FETC?") == "+9.90000E+37,+9.90000E+37,-1"
    bridge.say("TRIG")
    assert bridge.ask("FETC?") == OVERLOAD


def test_fetch_of_a_bridge_that_triggers_itself_measures(bench, bridge):
    bridge.say("TRIG:SOUR INT")
    put(bench, "D1")
    assert bridge.ask("FETC?").endswith(",+0")


@pytest.mark.parametrize(
    ("dialect", "fields", "at"),
    [("values_status", 3, 2), ("status_values", 4, 0), ("four_values", 5, 4)],
)
def test_each_dialect_has_its_order(dialect, fields, at):
    with RehearsalBench(automatic=False, pause_s=0.01, dialect=dialect) as bench:
        assert bench.profiles["bridge"] == f"lcr_scpi_{dialect}"
        put(bench, "D1")
        with Caller(bench.addresses["bridge"]) as bridge:
            bridge.say("FUNC:IMP CSRS")
            bridge.say("FREQ 120")
            told = bridge.ask("FETC?").split(",")
    assert (len(told), told[at]) == (fields, "+0")
    values = [text for place, text in enumerate(told) if place != at]
    truth = bench.truth("D1")
    assert float(values[0]) == pytest.approx(truth.capacitance, rel=1e-3)
    if dialect == "four_values":
        reactance = 1 / (2 * math.pi * 120 * truth.capacitance)
        assert float(values[2]) == pytest.approx(math.hypot(truth.esr, reactance), rel=1e-3)
        phase = -math.degrees(math.atan2(reactance, truth.esr))
        assert float(values[3]) == pytest.approx(phase, abs=0.05)


def test_every_dialect_is_explained(bench):
    for dialect, explained in DIALECTS.items():
        assert explained
        assert Bridge("b", bench.wiring, dialect=dialect).answer("FETC?").count(",") >= 2


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ("FREQ 10", "-222"),
        ("FREQ 2E6", "-222"),
        ("VOLT 3", "-222"),
        ("FUNC:IMP HALF", "-224"),
        ("TRIG:SOUR MOON", "-224"),
        ("APER SLOW", "-224"),
        ("BIAS:STAT 2", "-224"),
        ("FREQ", "-109"),
    ],
)
def test_what_it_cannot_be_set_to_is_refused_and_changes_nothing(said, error, bridge):
    asked = said.split()[0] + "?"
    before = bridge.ask(asked)
    bridge.say(said)
    assert bridge.ask("SYST:ERR?").startswith(error)
    assert bridge.ask(asked) == before


def test_settings_are_taken_and_reset(bridge):
    bridge.say("APER LONG,4")
    bridge.say("BIAS:STAT 1")
    assert (bridge.ask("APER?"), bridge.ask("BIAS:STAT?")) == ("LONG,1", "1")
    assert (bridge.ask("TRIG:SOUR?"), float(bridge.ask("VOLT?"))) == ("BUS", 0.5)
    bridge.say("*RST")
    assert bridge.ask("FUNC:IMP?;FREQ?;TRIG:SOUR?;BIAS:STAT?") == "CPD;1.000000E+03;INT;0"
    bridge.say("ABOR;INIT;INIT:CONT ON")
    assert bridge.ask("SYST:ERR?") == '0,"No error"'


def test_noise_is_small_and_the_same_for_the_same_seed():
    def taken(seed):
        with RehearsalBench(automatic=False, pause_s=0.01, seed=seed) as bench:
            put(bench, "D1")
            with Caller(bench.addresses["bridge"]) as bridge:
                return [bridge.ask("FETC?") for _ in range(20)]

    first, again, other = taken(3), taken(3), taken(4)
    assert first == again
    assert first != other
    values = [float(answer.split(",")[0]) for answer in first]
    assert 0 < (max(values) - min(values)) / values[0] < 1e-3
