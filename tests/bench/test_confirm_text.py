"""How a profile has its commands confirmed: what is wrong with it is said where it stands."""

from __future__ import annotations

import pytest

from bench.fair import STREAM
from captriage.bench.profile import NO_ERROR, Confirm
from captriage.bench.profile_text import parse_profile
from captriage.errors import ProfileError

BRIDGE = """
schema = 1
title = "bridge of the fair"
kind = "lcr bridge"
speaks = "SCPI"
error_ask = "ERR?"
error_none = 'none'

[limits]
frequency_hz = [20, 1e5]
level_v = [0, 1]

[actions]
beep = ["SYST:BEEP"]
tune = ["FREQ {frequency_hz:g}"]

[confirm]
tune = [["FREQ?", "{frequency_hz:g}"], ["LOCK?", "ON", "{{LOCKED}}"]]

[functions.resistance]
setup = ["LEV {level_v:g}"]
confirm = [["LEV?", "{level_v:g}"]]
read = "FETC?"

[functions.resistance.reply]
fields = [{ quantity = "resistance" }]

[functions.resistance.accuracy]
resistance = []
"""


def parse(text):
    return parse_profile(text, name="fair", path="fair.toml")


def test_what_confirms_a_command_arrives_where_it_belongs():
    profile = parse(BRIDGE)
    assert profile.confirm == {
        "tune": (Confirm("FREQ?", setting="frequency_hz"), Confirm("LOCK?", ("ON", "{LOCKED}")))
    }
    assert profile.functions["resistance"].confirm == (Confirm("LEV?", setting="level_v"),)
    assert (profile.error_ask, profile.error_none) == ("ERR?", "none")


def test_a_profile_that_confirms_nothing_is_as_good_as_before():
    profile = parse(STREAM)
    assert (profile.confirm, profile.functions["dc_current"].confirm) == ({}, ())
    assert (profile.error_ask, profile.error_none) == ("", NO_ERROR)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('error_ask = "ERR?"', "", "error_none: given; say in error_ask how the meter is asked"),
        ('"ERR?"', '"ERR{x}?"', r"error_ask: setting 'x' without \[limits\]"),
        ("'none'", "'no(ne'", "error_none: 'no.ne'; not a regular expression"),
        ("tune = [[", "tone = [[", "confirm.tone: unknown key; tune is probably meant; there are"),
        ("tune = [[", "tune = [7, [", r"confirm.tune: 7; a list in \[ \] is wanted"),
        ("tune = [[", "tune = [[], [", r"confirm.tune: \[\]; \[\"question\", \"answer\"\], or"),
        ('"ON", "{{LOCKED}}"]', "1]", "confirm.tune: 1; a text in quotes is wanted"),
        (
            '"ON", "{{LOCKED}}"]',
            "]",
            r"confirm.tune: \['LOCK.'\]; \[\"question\", \"answer\"\], or",
        ),
        ('"ON", "{{LOCKED}}"]', '""]', r"confirm.tune: \['LOCK.', ''\]; \[\"question\", \"answer"),
        (
            '"ON", "{{LOCKED}}"]',
            '"{}"]',
            "confirm.tune: '', which no command sets; confirm what is",
        ),
        ('"ON", "{{LOCKED}}"]', '"{on"]', "confirm.tune: '{on'; .*; a brace that is meant is writ"),
        ('"LOCK?"', '"LÖCK?"', r"confirm.tune: 'L\\xd6CK.'; plain ASCII"),
        ('"LOCK?"', '"{frequency_hz:g}?"', r"confirm.tune: setting 'frequency_hz' without \[lim"),
        ('[["FREQ?", "{', '[["FREQ?", "about {', "a setting is an answer of its own: '{frequency"),
        ('_v:g}"]]', '_v:g}", "0"]]', "resistance.confirm: .*; a setting is an answer of its own"),
        ('"{level_v:g}"]]', '"{frequency_hz:g}"]]', "confirm: 'frequency_hz', which no command s"),
    ],
)
def test_a_wrong_entry_is_named(old, new, said):
    assert old in BRIDGE
    with pytest.raises(ProfileError, match=rf"^fair\.toml: .*{said}"):
        parse(BRIDGE.replace(old, new))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("error_ask = 'X'\n[transport]", "error_ask: given; nothing is sent to a meter"),
        ("[functions.dc_current]\nconfirm = [['X', 'Y']]\n[transport]", "confirm: given; nothing"),
    ],
)
def test_a_meter_that_is_never_asked_is_asked_for_no_confirmation(more, said):
    with pytest.raises(ProfileError, match=rf"^fair\.toml: .*{said}"):
        parse(STREAM.replace("[transport]", more))
