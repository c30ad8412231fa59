"""Every profile that ships holds, and covers what can come."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from captriage.bench.accuracy import uncertainty
from captriage.bench.commands import settings_named
from captriage.bench.profile import Confirm
from captriage.bench.profile_text import PERSON
from captriage.bench.profiles import load_profile, shipped_folder
from captriage.bench.proving import opens, prove
from captriage.bench.replies import STATUS, understand
from captriage.columns import PRACTICE
from captriage.errors import Garbled

PATHS = sorted(shipped_folder().glob("*.toml"))
NAMES = [path.stem for path in PATHS]


@pytest.fixture(params=PATHS, ids=NAMES)
def profile(request):
    return load_profile(request.param)


def replies(profile):
    """Function, settings, last reply and transcript, for a profile on a wire."""
    if profile.kind == PERSON:
        pytest.skip("a person's words have no shape")
    for transcript in profile.transcripts:
        settings = {**profile.defaults, **transcript.settings}
        function = profile.functions[transcript.function]
        yield function, settings, transcript.lines[-1][1], transcript


def test_those_that_ship_are_those_agreed():
    assert NAMES == [
        "lcr_scpi_four_values",
        "lcr_scpi_status_values",
        "lcr_scpi_values_status",
        "multimeter_scpi",
        "serial_query",
        "serial_query_echo",
        "serial_stream",
        "supply_scpi",
        "thermometer_scpi",
        "typed",
    ]


def test_its_transcripts_hold(profile):
    assert prove(profile) == []


def test_its_accuracy_is_for_every_range_that_a_good_transcript_shows(profile):
    for function, settings, reply, transcript in replies(profile):
        for value in understand(reply, function, settings=settings):
            stated = bool(function.accuracy[value.quantity])
            number = not math.isnan(transcript.reading[value.quantity])
            assert math.isnan(value.uncertainty) != (stated and number)


def test_its_file_says_that_the_accuracy_is_no_makers_figure(profile):
    if any(steps for f in profile.functions.values() for steps in f.accuracy.values()):
        text = Path(profile.path).read_text("utf-8")
        comment = " ".join(re.findall(r"^# ?(.*)$", text, re.MULTILINE))
        assert "common practice" in comment
        assert re.search(r"no\s+maker's figure", comment)
        assert profile.accuracy_from == PRACTICE
    else:
        assert profile.accuracy_from == ""


def test_a_reply_without_its_end_is_no_other_number(profile):
    """Where the reply ends in a status or a unit, a reply cut short is noticed or the same."""
    for function, settings, reply, _ in replies(profile):
        whole = [value.value for value in understand(reply, function, settings=settings)]
        last = [field.quantity for field in function.reply.fields if not field.optional][-1:]
        if last and last != [STATUS]:
            continue  # it ends in a bare number: only the line end tells
        for length in range(len(reply)):
            try:
                values = understand(reply[:length], function, settings=settings)
            except Garbled:
                continue
            for value, meant in zip(values, whole, strict=True):
                assert math.isnan(value.value) or value.value == meant, reply[:length]


def test_a_bad_status_is_never_a_number(profile):
    for function, settings, reply, _ in replies(profile):
        places = [k for k, field in enumerate(function.reply.fields) if field.quantity == STATUS]
        if not places:
            continue
        for status in ("+1", "+3", "+4", "-1", "2", "17", "", "0.5", "OK", "9.9E37"):
            pieces = reply.split(function.reply.separator)
            pieces[places[0]] = status
            try:
                values = understand(",".join(pieces), function, settings=settings)
            except Garbled:
                continue
            assert all(math.isnan(value.value) and value.flag for value in values)


def test_no_bridge_believes_the_reply_of_another_order():
    bridges = [load_profile(path) for path in PATHS if path.stem.startswith("lcr_")]
    assert len(bridges) == 3
    for bridge in bridges:
        for other in bridges:
            good = [t for t in other.transcripts if not t.flag]
            for transcript in good:
                if bridge is other:
                    continue
                with pytest.raises(Garbled, match=r"fields|unknown status"):
                    understand(
                        transcript.lines[-1][1],
                        bridge.functions[transcript.function],
                        settings={},
                    )


def test_a_serial_meter_is_woken_and_a_supply_left_off():
    assert load_profile("serial_query").wake == ("SYST:REM",)
    assert load_profile("serial_query_echo").transport.echo
    assert not load_profile("serial_stream").transport.asks
    supply = load_profile("supply_scpi")
    assert supply.safe == supply.actions["off"] == ("OUTP OFF",)
    assert [supply.functions[f].measures for f in ("voltage_set", "current_set", "output")] == [
        ("voltage",),
        ("current",),
        ("output",),
    ]
    for name in ("serial_query", "serial_query_echo", "multimeter_scpi"):
        assert any(opens(load_profile(name), each) for each in load_profile(name).transcripts)


def test_every_bridge_is_freed_of_bias_before_anything_else_and_says_so():
    for path in PATHS:
        if path.stem.startswith("lcr_"):
            for function in load_profile(path).functions.values():
                assert function.setup[0] == "BIAS:STAT 0"
                assert function.confirm[0] == Confirm("BIAS:STAT?", ("OFF",))


def test_every_setting_that_a_scpi_meter_is_sent_over_a_network_is_read_back():
    for name in NAMES:
        profile = load_profile(name)
        told = [(f.setup, f.confirm) for f in profile.functions.values()]
        told += [(profile.actions[a], profile.confirm.get(a)) for a in profile.actions]
        for commands, confirms in told:
            if not name.startswith(("lcr_", "multimeter_", "supply_")) or not commands:
                continue
            if commands == ("SYST:BEEP",):
                continue
            assert profile.error_ask
            set_by = {setting for command in commands for setting, _ in settings_named(command)}
            assert confirms
            assert {each.setting for each in confirms} - {""} == set_by
            assert len(confirms) == len(commands)


def test_what_a_supply_can_be_told_can_be_confirmed():
    supply = load_profile("supply_scpi")
    assert (
        set(supply.confirm)
        == set(supply.actions)
        >= {
            *("set_voltage", "set_current_limit", "on", "off"),
            *("protect_voltage", "protect_current", "unprotect_current", "clear_trip"),
        }
    )
    assert {"dc_voltage", "dc_current", "voltage_tripped", "current_tripped"} < set(
        supply.functions
    )


def test_a_microampere_is_not_trusted_to_a_meter_that_may_have_no_range_for_it():
    current = load_profile("multimeter_scpi").functions["dc_current"].accuracy["current"]
    # Common practice: 0.02 % of a lowest range of 10 mA.
    assert uncertainty(1e-6, current) > 2e-6
    assert uncertainty(1e-3, current) / 1e-3 < 0.01
