"""Replies of any kind: values or garbled, exact, and no number with a bad status."""

from __future__ import annotations

import math
import re
import string
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bench.meters_of_text import BRIDGE, FREQUENCY, METER, UNITS, only
from captriage.bench.replies import is_number, understand
from captriage.bench.sent_units import DIMENSIONS
from captriage.columns import FLAGS
from captriage.errors import Garbled

TEXTS = st.one_of(
    st.text(max_size=40),
    st.text(string.digits + "+-.eE,; OLDCmµAVFHz", max_size=40),
    st.builds("{},{},{}".format, *[st.floats().map(str)] * 2, st.integers(-5, 9)),
)


@pytest.mark.parametrize("function", [BRIDGE, METER, UNITS], ids=["bridge", "meter", "units"])
@given(text=TEXTS)
def test_any_text_gives_values_or_is_garbled(function, text):
    try:
        values = understand(text, function, settings=FREQUENCY)
    except Garbled:
        return
    assert tuple(value.quantity for value in values) == function.measures
    for value in values:
        assert value.quantity in DIMENSIONS
        assert not math.isinf(value.value)
        if math.isnan(value.value):
            assert value.flag.startswith(tuple(FLAGS))
            assert math.isnan(value.uncertainty)
        else:
            assert value.flag == ""
            assert abs(value.value) < 9.89e37


ANY_RANGE = replace(METER, range_high={})
FORMS = ("{:.16E}", "{:+.16e}", "{!r}", "+{:.17g}", " {:.20E} ")


@pytest.mark.parametrize("form", FORMS)
@given(number=st.floats(0, 1e4, allow_subnormal=False))
def test_any_number_reads_back_exactly(form, number):
    assert only(form.format(number), ANY_RANGE).value == number


@given(number=st.integers(-(10**4), 10**4))
def test_whole_numbers_read_back_exactly(number):
    assert only(f"{number:+d}", ANY_RANGE).value == number
    assert is_number(f"{number:d}.")


@given(
    numbers=st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3)),
    status=st.one_of(st.integers(-99, 99).map("{:+d}".format), st.text(max_size=4)),
)
def test_no_bad_status_gives_a_number(numbers, status):
    assume(re.fullmatch(r"[+-]?0+", status.strip()) is None)
    assume("," not in status)
    try:
        values = understand(f"{numbers[0]},{numbers[1]},{status}", BRIDGE, settings={})
    except Garbled:
        return
    assert all(math.isnan(value.value) and value.flag for value in values)


@given(start=st.integers(0, 28), length=st.integers(1, 28))
def test_a_reply_that_lost_a_piece_is_never_another_number(start, length):
    """Cut short, or with a field lost, a reply is garbled. Within one number no shape can tell."""
    whole = "+9.71600E-05,+8.20000E-01,+0"
    gone = whole[start : start + length]
    assume("," in gone or start + length >= len(whole))
    assume(gone not in ("", "+"))
    with pytest.raises(Garbled, match=r"fields|unknown status|in place of a number"):
        understand(whole[:start] + whole[start + length :], BRIDGE, settings={})


@given(data=st.binary(max_size=60))
def test_line_noise_is_garbled_or_no_number_of_a_bridge(data):
    text = data.decode("latin-1")
    assume("," not in text)
    with pytest.raises(Garbled, match="impedance: "):
        understand(text, BRIDGE, settings={})
