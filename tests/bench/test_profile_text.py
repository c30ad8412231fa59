"""A profile from its text: what is wrong with it is said where it stands."""

from __future__ import annotations

import pytest

from bench.fair import STREAM
from captriage.bench.profile_text import parse_profile
from captriage.errors import ProfileError

BRIDGE = """
schema = 1
title = "bridge of the fair"
kind = "lcr bridge"
speaks = "SCPI"
identity_ask = "*IDN?"
identity = 'FAIR.+'
wake = ["*CLS"]
safe = ["BIAS:STAT 0"]

[transport]
timeout_s = 1.5

[limits]
frequency_hz = [20, 1e5]

[defaults]
frequency_hz = 120

[actions]
beep = ["SYST:BEEP"]
tune = ["FREQ {frequency_hz:g}"]

[reply]
separator = ","
status_ok = ["0"]
over_range_status = ["1"]
over_range_words = ["OL"]
not_ready_words = ["----"]
status_words = { "1" = "overload" }

[functions.impedance]
setup = ["FREQ {frequency_hz:g}"]
read = "FETC?"
range_high = { capacitance = 0.1 }

[functions.impedance.reply]
fields = [{ quantity = "capacitance", unit = "uF" }, { quantity = "esr" }, { quantity = "status" }]

[functions.impedance.accuracy]
capacitance = [{ up_to = 1e-3, of_reading = 0.01, floor = 1e-9 }, { of_reading = 0.1, floor = 0 }]
esr = []

[[transcripts]]
function = "impedance"
settings = { frequency_hz = 100 }
lines = [["FREQ 100"], ["FETC?", "47,0.31,0"]]
reading = { capacitance = 47e-6, esr = 0.31 }
"""
PERSON = """
schema = 1
title = "someone"
kind = "person"
speaks = "words"

[functions.dc_current.accuracy]
current = []
"""


def parse(text):
    return parse_profile(text, name="fair", path="fair.toml")


def test_every_entry_arrives_where_it_belongs():
    profile = parse(BRIDGE)
    function = profile.functions["impedance"]
    assert (profile.name, profile.path, profile.identity) == ("fair", "fair.toml", "FAIR.+")
    assert (profile.wake, profile.safe) == (("*CLS",), ("BIAS:STAT 0",))
    assert profile.transport.timeout_s == 1.5
    assert profile.transport.read_end == "\n"
    assert profile.limits == {"frequency_hz": (20.0, 1e5)}
    assert profile.defaults == {"frequency_hz": 120.0}
    assert profile.actions["beep"] == ("SYST:BEEP",)
    assert function.measures == ("capacitance", "esr")
    assert function.range_high == {"capacitance": 0.1}
    assert [step.up_to for step in function.accuracy["capacitance"]] == [1e-3, float("inf")]
    assert function.reply.status_ok == {"0"}
    assert function.reply.over_range_words == {"OL"}
    assert function.reply.fields[0].unit == "uF"
    assert profile.transcripts[0].reading == {"capacitance": 47e-6, "esr": 0.31}


def test_accuracy_follows_the_order_of_the_reply():
    text = BRIDGE.replace("esr = []\n", "").replace(
        "[functions.impedance.accuracy]", "[functions.impedance.accuracy]\nesr = []"
    )
    assert parse(text).functions["impedance"].measures == ("capacitance", "esr")


def test_a_function_says_for_itself_what_differs_from_the_common_reply():
    text = BRIDGE.replace(
        "[functions.impedance.reply]", '[functions.impedance.reply]\nstatus_ok = ["good"]'
    )
    assert parse(text).functions["impedance"].reply.status_ok == {"good"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        # form of the file
        ("schema = 1", "schema = [", "not TOML: .*; copy a profile that ships"),
        ("schema = 1", "schema = 2", "schema: 2; write schema = 1"),
        ("schema = 1", "schema = true", "schema: True; write schema = 1"),
        ("schema = 1", "", "schema: 'missing'; write schema = 1"),
        ("safe =", "save =", "save: unknown key; safe is probably meant; there are schema"),
        ("[defaults]", "[default]", "default: unknown key; defaults is probably meant"),
        ('title = "bridge of the fair"', "", "title: missing; this key has no default"),
        ('"bridge of the fair"', "7", "title: 7; a text in quotes is wanted"),
        ('"bridge of the fair"', '" "', "title: ' '; say it in a few words"),
        ('"lcr bridge"', '"bridge"', "kind: 'bridge'; one of lcr bridge, multimeter"),
        ("'FAIR.+'", "'FAIR(.+'", "identity: 'FAIR.*'; not a regular expression"),
        ("'FAIR.+'", "'(FA*)*'", "identity: .*; it has a repeat or alternatives within a repeat"),
        ('identity_ask = "*IDN?"', "", "identity: given; say in identity_ask how"),
        ('wake = ["*CLS"]', 'wake = "*CLS"', r"wake: '\*CLS'; a list in \[ \] is wanted"),
        ('wake = ["*CLS"]', 'wake = ["CLS\\n"]', r"wake: 'CLS\\n'; plain ASCII"),
        ('wake = ["*CLS"]', 'wake = ["µ"]', r"wake: '\\xb5'; plain ASCII"),
        ('["BIAS:STAT 0"]', '["V {level_v}"]', r"safe: setting 'level_v' without \[limits\]; no"),
        ('title = "bridge', 'accuracy_from = ""\ntitle = "bridge', "accuracy_from: ''; say it in"),
        # transport
        ("timeout_s = 1.5", "timeout = 1.5", "transport.timeout: unknown key; timeout_s is"),
        ("timeout_s = 1.5", "timeout_s = 0", "transport.timeout_s: 0; 0.01 to 600 is allowed"),
        ("timeout_s = 1.5", "timeout_s = nan", "transport.timeout_s: nan; a finite number"),
        ("timeout_s = 1.5", "timeout_s = true", "transport.timeout_s: True; a finite number"),
        ("timeout_s = 1.5", "baud = 9600.5", "transport.baud: 9600.5; a whole number"),
        ("timeout_s = 1.5", "baud = 10", "transport.baud: 10; 50 to 4e"),
        ("timeout_s = 1.5", "stop_bits = 1.2", "transport.stop_bits: 1.2; 1, 1.5 or 2"),
        ("timeout_s = 1.5", 'parity = "mark"', "transport.parity: 'mark'; one of none, even, odd"),
        ("timeout_s = 1.5", 'flow = "dtr"', "transport.flow: 'dtr'; one of none, xon/xoff"),
        ("timeout_s = 1.5", 'read_end = ""', "transport.read_end: ''; one to four control"),
        ("timeout_s = 1.5", 'write_end = "x"', "transport.write_end: 'x'; one to four control"),
        ("timeout_s = 1.5", 'echo = "yes"', "transport.echo: 'yes'; true or false is wanted"),
        ("timeout_s = 1.5", "echo = true\nasks = false", "transport.echo: true; a meter that is"),
        ("timeout_s = 1.5", "asks = false", "identity_ask: given; nothing is sent to a meter"),
        # settings
        ("[20, 1e5]", "[20]", r"limits.frequency_hz: 1 numbers; \[lowest, highest\] is wanted"),
        ("[20, 1e5]", "[1e5, 20]", r"limits.frequency_hz: \[100000, 20\]; the lower one first"),
        ("[20, 1e5]", "[20, inf]", "limits.frequency_hz: inf; a finite number is wanted"),
        ("[20, 1e5]", "20", r"limits.frequency_hz: 20; a list in \[ \] is wanted"),
        ("[limits]", "[limits]\nX = [1, 2]", "limits.X: no name of a setting; small letters"),
        ("= 120", "= 19", "defaults.frequency_hz: 19; 20 to 100000 is allowed"),
        ("[defaults]", "[defaults]\nlevel_v = 1", "defaults.level_v: unknown key; there are freq"),
        # commands
        (
            '"FREQ {frequency_hz:g}"]\nread',
            '"FREQ {freq_hz}"]\nread',
            "setup: setting 'freq_hz' wi",
        ),
        ("{frequency_hz:g}", "{frequency_hz:x}", "does not hold 20; write :g, or :.9g"),
        ("{frequency_hz:g}", "{frequency_hz!r}", "does not hold 20; write :g, or :.9g"),
        ("{frequency_hz:g}", "{frequency_hz:1000000000g}", "does not hold 20; write :g, or :.9g"),
        ("{frequency_hz:g}", "{frequency_hz:.1000000000f}", "does not hold 20; write :g, or :.9g"),
        ("{frequency_hz:g}", "{frequency_hz:>{frequency_hz}g}", "does not hold 20; write :g, or"),
        ("{frequency_hz:g}", "{frequency_hz.__class__}", "setting 'frequency_hz.__class__' witho"),
        ("{frequency_hz:g}", "{frequency_hz[0]}", r"setting 'frequency_hz.0.' without"),
        ("{frequency_hz:g}", "{0}", "setting '0' without"),
        ("{frequency_hz:g}", "{}", "setting '' without"),
        ("{frequency_hz:g}", "{frequency_hz", "setup: 'FREQ .*; .*brace that is sent"),
        ("beep =", "Beep =", "actions.Beep: no name of an action; small letters"),
        ('read = "FETC?"', "", "functions.impedance.read: missing; write the question"),
        ('read = "FETC?"', 'raed = "FETC?"', "functions.impedance.raed: unknown key; read is prob"),
        ("[functions.impedance", "[functions.Z", "functions.Z: no name of a function; small"),
        # reply
        ('unit = "uF"', 'unit = "V"', r"fields\[1\].unit: 'V'; capacitance is sent in a unit of F"),
        ('unit = "uF"', 'unit = "MF"', r"fields\[1\].unit: 'MF'; capacitance is sent in a unit"),
        ('unit = "uF"', 'unti = "uF"', r"fields\[1\].unti: unknown key; unit is probably meant"),
        ('"esr" }', '"ers" }', r"reply.fields\[2\].quantity: 'ers'; \"\" to drop it, or one of"),
        ('"esr" }', '"capacitance" }', "fields: capacitance twice; drop the other with an empty"),
        ('"esr" }', '"", unit = "V" }', r"fields\[2\].unit: 'V'; neither the status nor a drop"),
        ('"esr" }', '"", optional = true }', "an optional field before another; only the last"),
        ('"status" }', '"status", optional = true }', "status optional; only a dropped field"),
        ('separator = ","', 'separator = "."', "reply.separator: '.'; one to three signs"),
        ('separator = ","', "", "separator: missing; 3 fields need one between them"),
        ('separator = ","', 'pattern = "x"', "fields: both a pattern and fields; one of the two"),
        ('"esr" }, {', '"esr" }, 7, {', r"fields\[3\]: 7; a table is wanted"),
        ("fields = [{", "unused = [{", "reply.unused: unknown key; there are fields, separator"),
        ('status_ok = ["0"]', "", "status_ok: empty; say which status is good"),
        (', { quantity = "status" }', "", "status_ok: given; the reply has no status"),
        (
            'over_range_status = ["1"]',
            'over_range_status = ["0"]',
            "'0' is also in status_ok; a st",
        ),
        ('{ "1" = "overload" }', '{ "0" = "fine" }', "status_words: '0' is also in status_ok"),
        ('{ "1" = "overload" }', '{ "1" = 1 }', "status_words.1: 1; a text in quotes is wanted"),
        ('["OL"]', '["9.9E37"]', "over_range_words: '9.9E37'; a word is wanted; numbers: over_r"),
        ('["----"]', '[""]', "not_ready_words: ''; a word is wanted"),
        ('["----"]', '["OL"]', "not_ready_words: 'OL' is also in over_range_words; one of them"),
        ("[reply]", "[reply]\nover_range_at = -9.9e37", "over_range_at: -9.9e.37; above 0: it h"),
        ("[reply]", "[reply]\nnumber_words = { 1 = 2 }", "number_words.1: a number already; words"),
        # accuracy
        ("esr = []\n", "", "accuracy.esr: missing; write esr = .. where none is stated"),
        ("esr = []\n", "esr = []\ntan_delta = []\n", "accuracy.tan_delta: unknown key; there are"),
        ("capacitance = 0.1", "esr = 0", "range_high.esr: 0; above 0 and below over_range_at"),
        ("capacitance = 0.1", "capacitance = 1e38", "range_high.capacitance: 1e.38; above 0 and"),
        ("capacitance = 0.1", "current = 1", "range_high.current: unknown key; there are capacit"),
        ("up_to = 1e-3", "up_to = -1", r"accuracy.capacitance\[1\].up_to: -1; 0 or more is allow"),
        ("up_to = 1e-3", "up_to = 0", r"accuracy.capacitance\[1\].up_to: 0; above 0"),
        ("up_to = 1e-3,", "", "accuracy.capacitance: ranges out of order; ascending up_to"),
        ("of_reading = 0.01", "of_reading = 1.5", r"capacitance\[1\].of_reading: 1.5; 0 to 1 is"),
        (
            "of_reading = 0.01,",
            "",
            r"capacitance\[1\].of_reading: missing; this key has no default",
        ),
        ("= 0.1, floor = 0 ", "= 0, floor = 0 ", r"\[2\].of_reading: 0, and floor 0; no meter is"),
        # transcripts
        ('\nfunction = "impedance"', "", r"transcripts\[1\].function: missing; this key"),
        ('\nfunction = "impedance"', '\nfunction = "x"', r"transcripts\[1\].function: 'x'; one of"),
        ("= 100 }", "= 1e6 }", r"transcripts\[1\].settings.frequency_hz: 1e.06; 20 to 100000"),
        (', ["FETC?", "47,0.31,0"]]', "]", r"transcripts\[1\].lines: no reply at the end; the las"),
        ('["FREQ 100"]', "[]", r"transcripts\[1\].lines: 0 texts; \[\"said\"\] or"),
        ('["FREQ 100"]', "[1]", r"transcripts\[1\].lines: 1; a text in quotes is wanted"),
        (", esr = 0.31 }", " }", r"transcripts\[1\].reading.esr: missing; a number, or nan"),
        ("esr = 0.31 }", "esr = inf }", r"transcripts\[1\].reading.esr: inf; a number, or nan"),
        ("esr = 0.31 }", "ers = 0.31 }", r"reading.ers: unknown key; esr is probably meant"),
        ("esr = 0.31 }", "esr = nan }", r"transcripts\[1\].flag: ''; a reading without a number"),
        ("esr = 0.31 }", 'esr = 0 }\nflag = "open"', r"transcripts\[1\].flag: 'open'; a flag expl"),
    ],
)
def test_a_wrong_entry_is_named(old, new, said):
    assert old in BRIDGE
    with pytest.raises(ProfileError, match=rf"^fair\.toml: .*{said}"):
        parse(BRIDGE.replace(old, new))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("(?P<current>", "(?P<curent>", "pattern: group 'curent'; groups are capacitance"),
        ("(?P<current>", "(?P<voltage>", "group 'current_unit'; the number it belongs to is mis"),
        ("(?P<current>\\S+) (?P<current_unit>\\S+)", "x", "pattern: no quantity; a group"),
        ("(?P<current>", "(?P<current", "pattern: .*; not a regular expression"),
        ("(?P<current>", "(?:D*C*)*(?P<current>", "pattern: .*; it has a repeat or alternatives w"),
        ("pattern =", "separator = ','\npattern =", "separator: ','; a pattern holds its own"),
        ("pattern =", "fields = [{quantity = 'current'}]\npattern =", "both a pattern and fields"),
        ("pattern = '(?P<current>\\S+) (?P<current_unit>\\S+)'", "", "neither fields nor a patt"),
        ("(?P<current>\\S+)", "(?P<current>\\S+)(?P<status>.)", "status_ok: empty; say which"),
        ("[transport]", "wake = ['X']\n[transport]", "wake: given; nothing is sent to a meter"),
        ("[transport]", "safe = ['X']\n[transport]", "safe: given; nothing is sent to a meter"),
        ("[transport]", "[actions]\nbeep = ['X']\n[transport]", "actions: given; nothing is sent"),
        ("[functions.dc_current.reply]", "[functions.dc_current]\nread = 'X'\n[functions.dc_current"
         ".reply]", "functions.dc_current.read: given; nothing is sent"),
        ("[functions.dc_current.reply]", "[functions.dc_current]\nsetup = ['X']\n[functions.dc_curr"
         "ent.reply]", "functions.dc_current.setup: given; nothing is sent"),
    ],
)  # fmt: skip
def test_a_wrong_entry_of_a_stream_is_named(old, new, said):
    assert old in STREAM
    parse(STREAM)
    with pytest.raises(ProfileError, match=rf"^fair\.toml: .*{said}"):
        parse(STREAM.replace(old, new))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "[functions",
            "[transport]\nbaud = 9600\n[functions",
            "transport: given; a person is on n",
        ),
        ("[functions", "[reply]\nseparator = ','\n[functions", "reply: given; a person's words"),
        ("[functions", "[functions.dc_current.range_high]\ncurrent = 1\n[functions", "it is typed"),
        ("current = []", "charge = []", "accuracy.charge: no quantity; there are capacitance"),
        ("current = []", "", "functions.dc_current.accuracy: no quantity; there are capacitance"),
        ("[functions.dc_current.accuracy]\ncurrent = []", "", "functions: none; write"),
        ("[functions", "functions = 3\n[x", "functions: 3; a table is wanted|x: unknown key"),
    ],
)
def test_a_wrong_entry_of_a_person_is_named(old, new, said):
    assert old in PERSON
    parse(PERSON)
    with pytest.raises(ProfileError, match=rf"^fair\.toml: .*({said})"):
        parse(PERSON.replace(old, new))
