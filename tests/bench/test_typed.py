"""The person as the meter: what people type, asked again where it makes no sense."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.bench.accuracy import uncertainty
from captriage.bench.profile import Accuracy
from captriage.bench.profiles import load_profile
from captriage.bench.proving import StillClock
from captriage.bench.sent_units import DIMENSIONS
from captriage.bench.typed import ASKED_AT_MOST, TypedMeter
from captriage.bench.typed_words import EXAMPLES, PLAUSIBLE, understand_typed
from captriage.columns import FLAGS
from captriage.errors import Garbled, Gone, ProfileError
from captriage.readers.cell_rules import RULES
from captriage.readers.cells import read_cell


@pytest.mark.parametrize(
    ("text", "quantity", "meant"),
    [
        ("34.6 µF", "capacitance", 34.6e-6),
        ("34,6uF", "capacitance", 34.6e-6),
        ("4u7", "capacitance", 4.7e-6),
        ("47u", "capacitance", 47e-6),
        ("4700 pF", "capacitance", 4.7e-9),
        ("0R31", "esr", 0.31),
        ("0.31", "esr", 0.31),
        ("310m", "esr", 0.31),
        ("2k2", "resistance", 2200),
        ("0.032", "tan_delta", 0.032),
        ("3.2 %", "tan_delta", 0.032),
        ("1.2 mA", "current", 1.2e-3),
        ("-3 µA", "current", -3e-6),
        ("390", "voltage", 390),
        ("0.39 kV", "voltage", 390),
        ("73.4 °F", "temperature", 23),
        ("296.15 K", "temperature", 23),
        ("23", "temperature", 23),
    ],
)
def test_a_number_is_read_as_in_a_sheet(text, quantity, meant):
    value = understand_typed(text, quantity)
    assert value.value == pytest.approx(meant, rel=1e-12)
    assert (value.quantity, value.flag) == (quantity, "")
    assert math.isnan(value.uncertainty)


@pytest.mark.parametrize(
    ("text", "flag"),
    [
        ("OL", "over range"),
        ("0.L", "over range"),
        ("-OL", "over range negative"),
        ("over range", "over range"),
        ("open", "open"),
        ("O/C", "open"),
        ("short", "short"),
        ("", "no reading"),
        ("----", "no reading"),
        ("- - -", "no reading"),
    ],
)
def test_a_word_stands_for_what_it_means(text, flag):
    value = understand_typed(text, "resistance")
    assert math.isnan(value.value)
    assert value.flag == flag


def test_bounds_are_bounds_and_no_values():
    most = understand_typed("< 10 µA", "current")
    assert (most.at_most, most.flag) == (1e-5, "below range: at most 10 µA")
    least = understand_typed("over 20 mA", "current")
    assert (least.at_least, least.flag) == (0.02, "over range, at least 20 mA")
    assert math.isnan(most.value)
    assert math.isnan(least.value)


@pytest.mark.parametrize("text", ["OL 20 mA", "OL (20 mA range)", "ol on 20 mA range"])
def test_the_range_of_an_overload_may_be_typed(text):
    value = understand_typed(text, "current")
    assert (value.flag, value.range_high) == ("over range", 0.02)
    assert understand_typed("-OL 20 mA", "current").at_most == -0.02


def test_about_is_kept_as_a_flag():
    value = understand_typed("~47 µF", "capacitance")
    assert (value.value, value.flag) == (pytest.approx(47e-6), "approximate")


def test_uncertainty_is_that_of_the_instrument_or_as_typed():
    steps = (Accuracy(0.02, 1e-9),)
    assert understand_typed("47 µF", "capacitance", steps).uncertainty == uncertainty(47e-6, steps)
    for text in ("47 ± 0.5 µF", "47 µF +/- 0.5 µF"):
        typed = understand_typed(text, "capacitance", steps)
        assert (typed.value, typed.uncertainty) == (pytest.approx(47e-6), pytest.approx(0.5e-6))
    assert understand_typed("73.4 °F ± 1.8 °F", "temperature").uncertainty == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("text", "quantity", "said"),
    [
        ("47", "capacitance", "capacitance: '47': no unit; type it like 34.6 µF"),
        ("1.2", "current", "no unit; type it like 1.2 mA"),
        ("fine", "esr", "not understood; type it like 0.31 Ω, or OL, open, -"),
        ("47 µF 450 V", "capacitance", "not understood"),
        ("47 V", "capacitance", "a unit of V; type it like 34.6 µF"),
        ("1,234 µF", "capacitance", "may be 1.234 or 1234; type a point, and nothing between"),
        ("47 MF", "capacitance", "MF taken as microfarad .*; type µF, or mF in µF"),
        ("47 mF", "capacitance", "mF: confirm against rating .*; type µF"),
        ("47m", "capacitance", "m may be milli or, in old text, micro; type µF"),
        ("-3 µF", "capacitance", "no reading of a capacitor; .* to 10 F; check unit and decimals"),
        ("47 F", "capacitance", "no reading of a capacitor"),
        (
            "3.2",
            "tan_delta",
            "tan delta: '3.2': may be a ratio or percent; type 3.2 % or",
        ),
        ("< 1 ± 2 mA", "current", "a bound with ±; type one of the two"),
        ("OL 20 V", "current", "a unit of V"),
        ("47 µF ± 2 %", "capacitance", "± in percent may be a tolerance; type both like 34.6 µF"),
        ("47 ± x µF", "capacitance", "not understood"),
        ("23000", "temperature", "no reading of a capacitor"),
    ],
)
def test_nonsense_is_refused_with_the_reason(text, quantity, said):
    with pytest.raises(Garbled, match=said):
        understand_typed(text, quantity)


def test_what_is_plausible_is_what_a_sheet_may_hold():
    for quantity, span in PLAUSIBLE.items():
        rule = {"voltage": None, "current": "leakage_current", "output": None, "tripped": None}.get(
            quantity, {"temperature": "temperature_degc"}.get(quantity, quantity)
        )
        if rule is not None:
            assert (RULES[rule].low, RULES[rule].high) == span
    assert PLAUSIBLE.keys() == DIMENSIONS.keys()
    assert set(EXAMPLES) == set(DIMENSIONS.values())


@pytest.mark.parametrize("text", ["34.6 µF", "4u7", "OL", "open", "<10 µF", "~47 µF", "----"])
def test_a_sheet_reads_the_same_cell_alike(text):
    typed, cell = understand_typed(text, "capacitance"), read_cell(text, "capacitance")
    assert typed.flag == cell.flag
    for mine, theirs in ((typed.value, cell.value), (typed.at_most, cell.at_most)):
        assert mine == pytest.approx(theirs, nan_ok=True)


@given(text=st.one_of(st.text(max_size=30), st.text("0123456789.,-+<>~±eROLµmkFA% ", max_size=20)))
@pytest.mark.parametrize("quantity", list(DIMENSIONS))
def test_any_text_gives_a_value_or_a_reason(quantity, text):
    try:
        value = understand_typed(text, quantity)
    except Garbled:
        return
    low, high = PLAUSIBLE[quantity]
    if math.isnan(value.value):
        assert value.flag.startswith((*FLAGS, "below range"))
    else:
        assert low <= value.value <= high


@given(number=st.floats(1e-3, 999.0), prefix=st.sampled_from(["p", "n", "µ"]))
def test_a_number_with_its_unit_reads_back(number, prefix):
    scale = {"p": 1e-12, "n": 1e-9, "µ": 1e-6}[prefix]
    value = understand_typed(f"{number:.6f} {prefix}F", "capacitance").value
    assert value == pytest.approx(float(f"{number:.6f}") * scale, rel=1e-14)


class Typist:
    """Types one line after the other, and keeps what was shown."""

    def __init__(self, *lines):
        self.lines, self.shown = list(lines), []

    def __call__(self, question):
        self.shown.append(question)
        if not self.lines:
            raise EOFError
        return self.lines.pop(0)


def meter(*lines, profile=None):
    typist = Typist(*lines)
    profile = profile or load_profile("typed")
    return TypedMeter(profile, typist, name="hand", clock=StillClock()), typist


def test_each_quantity_is_asked_for_and_the_raw_text_kept():
    hand, typist = meter("34.6 µF ", "0R31")
    assert hand.open() == hand.reopen() == "typed by hand"
    hand.use("impedance", frequency_hz=100)
    answer = hand.read()
    assert hand.settings == {"frequency_hz": 100}
    assert typist.shown == ["capacitance, like 34.6 µF: ", "ESR, like 0.31 Ω: "]
    assert [value.value for value in answer.values] == [pytest.approx(34.6e-6), 0.31]
    assert answer.raw == "34.6 µF; 0R31"
    assert (answer.utc, answer.monotonic_s) == (StillClock().utc(), 0.0)
    hand.act("beep")
    hand.close()


def test_nonsense_is_asked_again_with_the_reason():
    hand, typist = meter("1200", "1200 µA")
    hand.use("dc_current")
    assert hand.read().raw == "1200 µA"
    assert typist.shown[1] == (
        "current: '1200': no unit; type it like 1.2 mA\ncurrent, like 1.2 mA: "
    )


def test_after_five_times_nobody_is_reading():
    hand, _ = meter(*["?"] * ASKED_AT_MOST, "1 mA")
    hand.use("dc_current")
    with pytest.raises(Garbled, match=r"^hand: current: '\?': not understood; .*; asked 5 times"):
        hand.read()


def test_the_end_of_the_input_is_the_end_of_the_meter():
    hand, _ = meter()
    hand.use("dc_current")
    with pytest.raises(Gone, match=r"^hand: the input has ended; start again to type more"):
        hand.read()


def test_it_must_be_told_what_to_ask_for():
    hand, _ = meter()
    with pytest.raises(ProfileError, match=r"^hand: not set up; choose one of its functions"):
        hand.read()
    with pytest.raises(ProfileError, match=r"^hand: phase: no function of typed; it has impedance"):
        hand.use("phase")
    with pytest.raises(ProfileError, match=r"typed: frequency_hz: -1; 0 to 1e.07 is what it can"):
        hand.use("impedance", frequency_hz=-1)


def test_the_accuracy_of_the_users_instrument_is_applied():
    profile = load_profile("typed")
    function = replace(profile.functions["dc_current"], accuracy={"current": (Accuracy(0.1, 0),)})
    profile = replace(
        profile, functions={"dc_current": function}, actions={"on": ("x",)}, limits={"a": (0, 1)}
    )
    hand, _ = meter("1 mA", profile=profile)
    hand.use("dc_current")
    assert hand.read().of("current").uncertainty == pytest.approx(2e-4 / math.sqrt(3))
    with pytest.raises(ProfileError, match="typed: a: 2; 0 to 1 is what it can do"):
        hand.act("on", a=2)
