"""Settings in commands: never clipped, never rounded."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.bench.commands import filled_in, settings_named, settings_within
from captriage.bench.profile import Profile, Transport
from captriage.errors import ProfileError

PROFILE = Profile(
    name="fair",
    title="",
    kind="lcr bridge",
    speaks="",
    transport=Transport(),
    functions={},
    limits={"frequency_hz": (20.0, 1e5), "level_v": (0.01, 2.0)},
    defaults={"frequency_hz": 120.0},
)


def test_defaults_stand_where_nothing_is_asked_for():
    assert settings_within(PROFILE, {}) == {"frequency_hz": 120.0}
    assert settings_within(PROFILE, {"frequency_hz": 100, "level_v": 2}) == {
        "frequency_hz": 100,
        "level_v": 2,
    }


@pytest.mark.parametrize("value", [19.99, 1e5 + 1, float("nan"), float("inf"), -120.0])
def test_what_is_outside_the_limits_is_refused(value):
    with pytest.raises(ProfileError, match=r"^fair: frequency_hz: .*; 20 to 100000 is what it can"):
        settings_within(PROFILE, {"frequency_hz": value})


def test_an_unknown_setting_is_refused():
    with pytest.raises(ProfileError, match=r"^fair: bias_v: no such setting; it has frequency_hz,"):
        settings_within(PROFILE, {"bias_v": 1.0})


def test_commands_hold_the_settings():
    commands = ("FREQ {frequency_hz:g}HZ", "LEV {{{level_v:.3f}}}", "*TRG")
    sent = filled_in(commands, {"frequency_hz": 1e5, "level_v": 0.5}, where="bridge")
    assert sent == ("FREQ 100000HZ", "LEV {0.500}", "*TRG")


def test_a_setting_that_is_missing_is_named():
    with pytest.raises(ProfileError, match=r"^bridge: level_v: not set; give it a value"):
        filled_in(["VOLT {level_v:g}"], {}, where="bridge")


def test_a_setting_that_the_command_would_round_is_refused():
    said = r"^bridge: frequency_hz: 120\.5 would be sent as 120; ask for what 'FREQ"
    with pytest.raises(ProfileError, match=said):
        filled_in(["FREQ {frequency_hz:.0f}"], {"frequency_hz": 120.5}, where="bridge")


def test_braces_that_do_not_match_are_refused():
    with pytest.raises(ValueError, match="expected '}'"):
        settings_named("FREQ {frequency_hz")


@given(st.floats(20.0, 1e5))
def test_what_is_sent_is_what_was_asked_for(value):
    (sent,) = filled_in(["FREQ {frequency_hz:g}"], {"frequency_hz": value}, where="bridge")
    assert float(sent.removeprefix("FREQ ")) == pytest.approx(value, rel=1e-5)
