"""Replies to values: what the meter meant, and never a number that it did not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bench.meters_of_text import BRIDGE, FREQUENCY, METER, UNITS, only
from captriage.bench.profile import Field, Reply
from captriage.bench.replies import understand
from captriage.bench.sent_units import DIMENSIONS, unit_of
from captriage.errors import Garbled


def test_a_good_reply_gives_its_numbers_in_si():
    capacitance, esr = understand("+9.716E-05,+820,+0\r\n", BRIDGE, settings=FREQUENCY)
    assert (capacitance.quantity, capacitance.value, capacitance.flag) == (
        "capacitance",
        9.716e-5,
        "",
    )
    assert capacitance.uncertainty == pytest.approx(2 / math.sqrt(3) * (9.716e-7 + 1e-9))
    assert capacitance.range_high == 0.1
    assert esr.value == pytest.approx(0.82, rel=1e-15)
    assert math.isnan(esr.uncertainty)


def test_the_bin_of_a_sorter_may_follow_and_is_dropped():
    assert understand("1e-6,5,0,+10", BRIDGE, settings={}) == understand(
        "1e-6,5,0", BRIDGE, settings={}
    )


@pytest.mark.parametrize("status", ["+4", "4", "04", "-1", "+1"])
def test_a_bad_status_voids_numbers_that_look_real(status):
    values = understand(f"+4.613E-05,+8.2E-01,{status}", BRIDGE, settings={})
    assert all(math.isnan(value.value) for value in values)
    assert all(math.isnan(value.uncertainty) for value in values)
    meaning = BRIDGE.reply.status_words[str(int(status))]
    kind = "over range" if int(status) == 1 else "no reading"
    assert {value.flag for value in values} == {f"{kind}: status {status}, {meaning}"}


def test_a_status_for_two_quantities_gives_no_bound():
    values = understand("9.9E37,9.9E37,1", BRIDGE, settings={})
    assert all(math.isnan(value.range_high) for value in values)
    alone = replace(
        METER,
        reply=Reply(
            fields=(Field("current"), Field("status")),
            separator=";",
            status_ok=frozenset({"N"}),
            over_range_status=frozenset({"O"}),
        ),
    )
    assert only("0.1; O", alone).range_high == 0.2
    assert only("0.1; O", alone).flag == "over range: status O"


def test_spellings_of_a_status_differ_only_where_the_profile_lists_them_apart():
    apart = replace(
        BRIDGE, reply=replace(BRIDGE.reply, status_ok=frozenset({"0", "1"}), status_words={})
    )
    apart = replace(apart, reply=replace(apart.reply, over_range_status=frozenset({"+1"})))
    assert understand("1,1,1", apart, settings={})[0].value == 1.0
    assert math.isnan(understand("1,1,+1", apart, settings={})[0].value)
    with pytest.raises(Garbled, match=r"unknown status '01'"):
        understand("1,1,01", apart, settings={})


@pytest.mark.parametrize("number", ["9.9E37", "+9.90000E+37", "9.91E37", "1e38", "9.89e37"])
def test_what_stands_for_infinity_is_over_range(number):
    value = only(number)
    assert math.isnan(value.value)
    assert (value.flag, value.range_high) == ("over range", 0.2)


def test_a_negative_overload_is_a_bound_from_above():
    for text in ("-9.9E37", "-OL", "- ol"):
        value = only(text)
        assert math.isnan(value.value)
        assert math.isnan(value.range_high)
        assert (value.flag, value.at_most) == ("over range negative", -0.2)


@pytest.mark.parametrize("word", ["OL", "ol", "+O.L", "O.L"])
def test_an_over_range_word_is_over_range(word):
    assert (only(word).flag, only(word).range_high) == ("over range", 0.2)


def test_dashes_are_no_reading_and_nothing_wrong():
    assert only("----").flag == "no reading"
    assert math.isnan(only("----").value)


def test_one_quantity_over_range_leaves_the_other():
    capacitance, esr = understand("9.9E37,51,0", BRIDGE, settings={})
    assert math.isnan(capacitance.value)
    assert esr.value == pytest.approx(0.051)


def test_negative_numbers_are_kept_for_the_judging():
    assert understand("-2.1E-04,-3,0", BRIDGE, settings={})[0].value == -2.1e-4
    assert only("-4.1E-06").value == -4.1e-6


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("1.2345 mA", 1.2345e-3),
        ("DC 1.2345 mA", 1.2345e-3),
        ("47.2uA", None),  # the pattern wants the number apart from its unit
        ("47.2 uA", 47.2e-6),
        ("47.2 µA", 47.2e-6),
        ("47.2 \u03bcA", 47.2e-6),
        ("47.2 MA", 47.2e-3),  # capitals only: no meter means mega-amperes
        ("0.31 m", 0.31e-3),
        ("-3 mADC", -3e-3),
    ],
)
def test_the_unit_in_the_text_counts(text, meant):
    if meant is None:
        with pytest.raises(Garbled, match=r"'47.2uA' in place of a number"):
            only(text, UNITS)
    else:
        assert only(text, UNITS).value == pytest.approx(meant, rel=1e-15)


@pytest.mark.parametrize(
    ("unit", "quantity", "number", "meant"),
    [
        ("kΩ", "resistance", "1", 1e3),
        ("kOhm", "resistance", "1", 1e3),
        ("MOHM", "resistance", "1", 1e6),
        ("mohm", "resistance", "1", 1e-3),
        ("mF", "capacitance", "1", 1e-3),
        ("µF", "capacitance", "47.2", 47.2e-6),
        ("°C", "temperature", "23.5", 23.5),
        ("\u2103", "temperature", "23.5", 23.5),
        ("F", "temperature", "68", 20.0),
        ("K", "temperature", "293.15", 20.0),
        ("%", "tan_delta", "3.2", 0.032),
    ],
)
def test_a_unit_of_the_profile_is_applied(unit, quantity, number, meant):
    function = replace(METER, reply=Reply(fields=(Field(quantity, unit),)), accuracy={quantity: ()})
    assert only(number, function).value == pytest.approx(meant, rel=1e-14)


@pytest.mark.parametrize(("unit", "dimension"), [("MF", "F"), ("mf", "F"), ("V", "A"), ("", "A")])
def test_a_unit_that_is_doubtful_or_another_is_none(unit, dimension):
    assert unit_of(unit, dimension) is None


@pytest.mark.parametrize("number", ["1e37", "-1e37", "1.23451E30", "10001", "-123451.2345"])
def test_a_number_far_beyond_any_meter_is_no_reading(number):
    with pytest.raises(Garbled, match=r"far beyond any range of this meter, in .*over_range_at"):
        only(number)


@pytest.mark.parametrize("quantity", DIMENSIONS)
def test_no_quantity_takes_any_number(quantity):
    meter = replace(METER, reply=Reply(fields=(Field(quantity),)), accuracy={quantity: ()})
    for number in ("8e37", "-8e37", "1e30"):
        with pytest.raises(Garbled, match="far beyond any range"):
            only(number, meter)


def test_a_number_far_beyond_its_range_is_no_reading_either():
    """Two readings that ran together have the shape of a number."""
    meter = replace(METER, range_high={"current": 0.02})
    assert only("0.024", meter).value == 0.024
    with pytest.raises(Garbled, match=r"current 1.2345, far beyond any range of this meter"):
        only("1.2345", meter)
    in_milliamps = replace(meter, reply=Reply(fields=(Field("current", "mA"),)))
    assert only("12.345", in_milliamps).value == pytest.approx(0.012345)


def test_words_stand_for_numbers_where_the_profile_says_so():
    output = replace(
        METER,
        reply=Reply(fields=(Field("output"),), number_words={"ON": 1.0, "OFF": 0.0}),
        accuracy={"output": ()},
    )
    assert [only(text, output).value for text in ("ON", "OFF", "1", "0")] == [1, 0, 1, 0]
    tripped = replace(output, reply=Reply(fields=(Field("tripped"),)), accuracy={"tripped": ()})
    for function in (output, tripped):
        with pytest.raises(Garbled, match=r"2, which is neither on nor off, in '2'; ask again"):
            only("2", function)


def test_a_setting_that_the_reply_repeats_must_be_as_it_was_set():
    repeats = replace(
        METER, reply=Reply(fields=(Field("frequency_hz", "kHz"), Field("current")), separator=" ")
    )
    assert only("0.1199  1e-3", repeats).value == 1e-3
    assert only("0.1  1e-3", repeats, settings={}).value == 1e-3
    with pytest.raises(Garbled, match=r"frequency_hz 100 in '0.1 1e-3'; 120 was set: set the met"):
        only("0.1 1e-3", repeats)
    with pytest.raises(Garbled, match=r"'x' in place of frequency_hz"):
        only("x 1e-3", repeats)
    level = replace(
        repeats, reply=replace(repeats.reply, fields=(Field("level_v"), Field("current")))
    )
    assert only("0.504 1e-3", level, {"level_v": 0.5}).value == 1e-3
    with pytest.raises(Garbled, match=r"level_v 0\.506 in .*; 0\.5 was set"):
        only("0.506 1e-3", level, {"level_v": 0.5})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "'' in place of a number in ''; ask again; if it stays so, another profile fits"),
        ("1.2,3.4", "'1.2,3.4' in place of a number"),
        ("1.23451.2345", "'1.23451.2345' in place of a number"),
        ("+1.2-3.4", "in place of a number"),
        ("1,2345", "in place of a number"),
        ("0x1F", "in place of a number"),
        ("1_000", "in place of a number"),
        ("\u0661\u0662", r"the character '١' in .*; check baud rate and parity"),
        ("\xff\xfe1.2", r"the character 'ÿ' in"),
        ("1.2\x00", r"the character '\\x00' in"),
        ("nan", "'nan' in place of a number"),
        ("-inf", "'-inf' in place of a number"),
        ("INFINITY", "'INFINITY' in place of a number"),
        ("1e999", "1e999, which no meter sends,"),
        ("1e-999", "1e-999, which no meter sends,"),
        ("READ?", r"the question comes back: set echo = true in \[transport\]"),
        ("READ?1.2E-3", "the question comes back"),
        ("1" * 1001, "1001 characters in '1{60}.*'; check the line end of the reply"),
    ],
)
def test_anything_else_is_garbled(text, said):
    with pytest.raises(Garbled, match=rf"^dc_current: .*{said}"):
        only(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1e-6,5", "2 of 3 to 4 fields"),
        ("1e-6,5,0,1,1", "5 of 3 to 4 fields"),
        ("1e-6,5,7", "unknown status '7'"),
        ("1e-6,5,0.0", "unknown status '0.0'"),
        ("0,1e-6,5.5", "unknown status '5.5'"),  # the status first: another profile's reply
        ("1e-6,,0", "'' in place of a number"),
    ],
)
def test_a_reply_of_another_shape_is_garbled(text, said):
    with pytest.raises(Garbled, match=rf"^impedance: {said}"):
        understand(text, BRIDGE, settings=FREQUENCY)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("AC 1.2 mA", "not the pattern of a reply in 'AC 1.2 mA'"),
        ("1.2 V", "the unit 'V' in '1.2 V'; A is wanted: check the meter's function switch"),
        ("1.2", "no unit in '1.2'; A is wanted"),
        ("1.2 xA", "the unit 'xA'"),
    ],
)
def test_a_text_with_another_unit_is_garbled(text, said):
    with pytest.raises(Garbled, match=rf"^dc_current: {said}"):
        only(text, UNITS)


def test_a_plain_number_has_no_unit():
    ratio = replace(
        METER,
        reply=Reply(pattern="(?P<tan_delta>[^ ]+) (?P<tan_delta_unit>.*)"),
        accuracy={"tan_delta": ()},
    )
    assert only("3.2 %", ratio).value == 0.032
    with pytest.raises(Garbled, match=r"the unit 'V' in '0.1 V'; a plain number is wanted"):
        only("0.1 V", ratio)


def test_a_group_that_found_nothing_is_garbled():
    either = replace(METER, reply=Reply(pattern="A(?P<current>.+)|B.*"))
    assert only("A1.5", either).value == 1.5
    with pytest.raises(Garbled, match="no current in 'B'"):
        only("B", either)
