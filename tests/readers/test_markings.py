"""Ratings printed on parts, tolerances, several values in a cell, words of a parts list."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.columns import GRADES, POLARITIES, REFORM_OUTCOMES, ROLES
from captriage.errors import MarkingError
from captriage.readers.markings import (
    parse_grade,
    parse_polarity,
    parse_rating,
    parse_reform_outcome,
    parse_role,
    parse_tolerance,
    parse_yes_no,
    split_values,
)


@pytest.mark.parametrize(
    ("text", "microfarads", "volts"),
    [
        ("32 µF 450 V", [32], [450]),
        ("32uF/450V", [32], [450]),
        ("47uF16V", [47], [16]),
        ("450 V 32 µF", [32], [450]),
        ("16+16 µF 450 V", [16, 16], [450, 450]),
        ("40+40+10/450V", [40, 40, 10], [450] * 3),
        ("40/40/20 µF 450/400/25 V", [40, 40, 20], [450, 400, 25]),
        ("40/40/20/450V", [40, 40, 20], [450] * 3),
        ("40-40-20/450-400-25V", [40, 40, 20], [450, 400, 25]),
        ("8 MFD 450 WVDC", [8], [450]),
        ("20-20 MFD 450V", [20, 20], [450, 450]),
        ("2x32uF 500V", [32, 32], [500, 500]),
        ("3 × 40 µF 350 V", [40] * 3, [350] * 3),
        ("(40+40) µF 450V", [40, 40], [450, 450]),
        ("50µF/50µF/350V", [50, 50], [350, 350]),
        ("40 µF 450 V + 10 µF 25 V", [40, 10], [450, 25]),
        ("100+100+50 µF, 350/350/300 V", [100, 100, 50], [350, 350, 300]),
        ("4u7 63V", [4.7], [63]),
        ("6V3 1000u", [1000], [6.3]),
        ("0,47µ/63V", [0.47], [63]),
        ("1 000 µF 25 V", [1000], [25]),
        ("1000/25", [1000], [25]),
        ("8 450V", [8], [450]),
        ("500 MMF", [500e-6], [math.nan]),
        ("Elko 32+32 µF 450 V DC wkg", [32, 32], [450, 450]),
        ("16+16 µF", [16, 16], [math.nan, math.nan]),
    ],
)
def test_a_rating_is_taken_apart_into_sections(text, microfarads, volts):
    rating = parse_rating(text)
    assert [c * 1e6 for c in rating.capacitances] == pytest.approx(microfarads)
    assert list(rating.voltages) == pytest.approx(volts, nan_ok=True)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        # "10K 25" is 10 µF ±10 % 25 V on an electrolytic, as reported by an encyclopaedia
        ("10K 25", -0.1, 0.1),
        ("470M 16V", -0.2, 0.2),
        ("47 uF ±20% 63V", -0.2, 0.2),
        ("47 uF 20% 63V", -0.2, 0.2),
        ("25 µF 25 V -10/+50 %", -0.1, 0.5),
        ("10 µF (-10+100%) 25 V", -0.1, 1.0),
        ("32 µF 450 V", math.nan, math.nan),
    ],
)
def test_the_tolerance_of_a_rating_is_kept(text, low, high):
    rating = parse_rating(text)
    assert (rating.tolerance_low, rating.tolerance_high) == pytest.approx((low, high), nan_ok=True)


def test_what_else_is_printed_is_kept():
    rating = parse_rating("47 uF ±20% 63V NP 85°C")
    assert (rating.polarity, rating.temperature) == ("bipolar", 85.0)
    assert parse_rating("8 MFD 450 V 235-7051").made == "235-7051"
    assert parse_rating("32 µF 450 V 1959").made == "1959"
    assert parse_rating("32 µF 450 V").flags == ()


@pytest.mark.parametrize(
    ("text", "farad", "volt", "flag"),
    [
        ("50+50 µF 350/385 V", 50e-6, 350, "surge voltage"),
        ("16 µF 450 V surge 525 V", 16e-6, 450, "surge voltage"),
        ("16 mF 450V", 16e-6, 450, "mF taken as microfarad"),
        ("8 mF 450 V", 8e-6, 450, "mF taken as microfarad (old marking)"),
        ("16-16-8 mF 450 WV", 16e-6, 450, "mF taken as microfarad (old marking)"),
        ("16+16+8 mF 350 V", 16e-6, 350, "mF taken as microfarad (old marking)"),
        ("100+100 mF 25 V", 100e-6, 25, "mF taken as microfarad (old marking)"),
        ("10 mF 63V", 10e-3, 63, "mF: confirm against rating"),
        ("20 MF 450 V", 20e-6, 450, "MF taken as microfarad"),
        ("1000/25", 1e-3, 25, "no unit"),
        ("47/63V", 47e-6, 63, "no unit: taken as µF"),
        ("10K 25", 10e-6, 25, "K taken as the tolerance"),
    ],
)
def test_what_a_rating_was_taken_as_is_said(text, farad, volt, flag):
    rating = parse_rating(text)
    assert rating.capacitances[0] == pytest.approx(farad)
    assert rating.voltages[0] == volt
    assert any(flag in said for said in rating.flags)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "no capacitance"),
        ("450V", "no capacitance"),
        ("foo", "'foo' not understood"),
        ("32uF 450 banana", "'banana' not understood"),
        ("30 A", "'30 A' not understood"),
        ("4,700 µF 16 V", "ambiguous: 4.7 or 4700"),
        ("1e9 F 5V", "no rated capacitance"),
        ("47 µF 90000 V", "no rated voltage"),
        ("40+40+10 µF 450/400 V", "3 capacitances but 2 voltages"),
        ("40 µF 450 V 10 µF", "mixed"),
        ("40/40/450/450/25", "not clear"),
        ("100 mF 50 V", "ambiguous: mF may be 100 microfarad"),
        ("0.5 mF 50 V", "ambiguous: mF may be 0.5 microfarad"),
        ("8 mF", "ambiguous: mF may be 8 microfarad"),
    ],
)
def test_a_rating_that_cannot_be_read_is_refused(text, found):
    with pytest.raises(MarkingError, match=f"^rating '.*': .*{found}.*; write it as"):
        parse_rating(text)


def test_the_sheet_decides_digits_that_could_be_groups():
    assert parse_rating("4,700 µF 16 V", decimal=".").capacitances == (4.7e-3,)
    assert parse_rating("4,700 µF 16 V", decimal=",").capacitances[0] == pytest.approx(4.7e-6)


@given(
    st.lists(st.integers(1, 900), min_size=1, max_size=4),
    st.integers(3, 600),
    st.sampled_from(["µF", "uF", "MFD", "mfd"]),
    st.sampled_from(["+", "/", "-", " + "]),
    st.sampled_from(["V", "WVDC", " VDC"]),
)
def test_every_plain_can_is_read_back(microfarads, volts, unit, separator, volt_unit):
    text = separator.join(map(str, microfarads)) + f" {unit} {volts}{volt_unit}"
    rating = parse_rating(text)
    assert [c * 1e6 for c in rating.capacitances] == pytest.approx(microfarads)
    assert rating.voltages == (float(volts),) * len(microfarads)


@given(st.one_of(st.text(max_size=30), st.text(alphabet="0123456789µuFVKM+-/,. x%±", max_size=20)))
def test_any_text_gives_a_rating_or_a_marking_error(text):
    try:
        rating = parse_rating(text)
    except MarkingError:
        return
    assert len(rating.capacitances) == len(rating.voltages) >= 1
    assert all(0 < c <= 10 for c in rating.capacitances)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        # IEC 60062: K, M as reported by an encyclopaedia; T from a JIS characteristic W data
        # sheet; Z, N, P from a service manual; Q, S, J from memory.
        ("K", -0.1, 0.1),
        ("M", -0.2, 0.2),
        ("T", -0.1, 0.5),
        ("Z", -0.2, 0.8),
        ("N", -0.3, 0.3),
        ("P", 0.0, 1.0),
        ("Q", -0.1, 0.3),
        ("S", -0.2, 0.5),
        ("J", -0.05, 0.05),
        ("m", -0.2, 0.2),
        ("±20%", -0.2, 0.2),
        ("+/-20 %", -0.2, 0.2),
        ("20", -0.2, 0.2),
        ("12,5 %", -0.125, 0.125),
        ("-10/+50 %", -0.1, 0.5),
        ("+50/-10%", -0.1, 0.5),
        ("-10+100", -0.1, 1.0),
        ("−10 % … +50 %", -0.1, 0.5),
        ("-20...+80 %", -0.2, 0.8),
        ("0/+100%", 0.0, 1.0),
    ],
)
def test_a_tolerance_is_read_in_figures_or_letters(text, low, high):
    assert parse_tolerance(text) == pytest.approx((low, high))


@pytest.mark.parametrize("text", ["", "X", "+10+50", "-120/+50", "banana", "1,2,3"])
def test_a_tolerance_that_is_none_is_refused(text):
    with pytest.raises(MarkingError, match=r"tolerance: .* not understood; write ±20 %"):
        parse_tolerance(text)


@given(st.text(max_size=15))
def test_any_text_gives_a_tolerance_or_a_marking_error(text):
    try:
        low, high = parse_tolerance(text)
    except MarkingError:
        return
    assert -1 < low <= 0 <= high <= 5


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("40.6/38.2/10.5", ("40.6", "38.2", "10.5")),
        ("40,6 + 38,2 + 10,5", ("40,6", "38,2", "10,5")),
        ("40.6/38.2/10.5 µF", ("40.6 µF", "38.2 µF", "10.5 µF")),
        ("OL/38.2", ("OL", "38.2")),
        ("o/c / 38", ("o/c", "38")),
        ("40.6, 38.2", ("40.6", "38.2")),
        ("40.6\n38.2", ("40.6", "38.2")),
        ("n/a", ("n/a",)),
        ("1E+03", ("1E+03",)),
        ("47 uF (+/-5%)", ("47 uF (+/-5%)",)),
        ("1,234", ("1,234",)),
        ("47", ("47",)),
    ],
)
def test_several_values_in_a_cell_are_split_and_one_is_left_alone(text, cells):
    assert split_values(text) == cells


@given(st.text(max_size=30))
def test_splitting_never_raises_or_loses_the_cell(text):
    assert len(split_values(text)) >= 1


@pytest.mark.parametrize(
    ("parse", "text", "key"),
    [
        (parse_polarity, "NP", "bipolar"),
        (parse_polarity, "ungepolt", "bipolar"),
        (parse_polarity, "non polarisé", "bipolar"),
        (parse_polarity, "polarised", "polar"),
        (parse_role, "Ladeelko", "reservoir"),
        (parse_role, "Siebelko", "smoothing"),
        (parse_role, "cathode", "cathode bypass"),
        (parse_role, "découplage", "decoupling"),
        (parse_role, "acoplo", "coupling"),
        (parse_role, "polarizzazione", "bias supply"),
        (parse_role, "luidspreker", "crossover"),
        (parse_role, "Cathode_Bypass", "cathode bypass"),
        (parse_grade, "Long-Life", "long life"),
        (parse_grade, "low ESR", "low impedance"),
        (parse_yes_no, "ja", "yes"),
        (parse_yes_no, "out of circuit", "no"),
        (parse_yes_no, "X", "yes"),
        (parse_reform_outcome, "unter Grenzwert", "settled below limit"),
        (parse_reform_outcome, "drew 40 mA and smoked", "broken down"),
        (parse_reform_outcome, "über Grenzwert", "settled above limit"),
        (parse_reform_outcome, "Durchschlag", "broken down"),
        (parse_reform_outcome, "current rising", "rising"),
        (parse_reform_outcome, "Re-test passed", "healed"),
        (parse_reform_outcome, "nicht geheilt", "rebounded"),
        (parse_reform_outcome, "en cours", "under way"),
        (parse_reform_outcome, "no", "not reformed"),
    ],
)
def test_words_of_a_parts_list_give_the_key(parse, text, key):
    assert parse(text) == key


@pytest.mark.parametrize(
    ("parse", "keys"),
    [(parse_role, ROLES), (parse_grade, GRADES), (parse_reform_outcome, REFORM_OUTCOMES),
     (parse_polarity, POLARITIES), (parse_yes_no, ("yes", "no"))],
)  # fmt: skip
def test_every_key_is_its_own_spelling_and_nothing_else_passes(parse, keys):
    assert [parse(key) for key in keys] == list(keys)
    with pytest.raises(MarkingError, match="'banana' not understood; write "):
        parse("banana")


def test_groups_of_sections_have_a_voltage_each():
    rating = parse_rating("40+20/350 + 20/25")
    assert rating.capacitances == pytest.approx((40e-6, 20e-6, 20e-6))
    assert rating.voltages == (350, 350, 25)


@pytest.mark.parametrize(
    ("text", "farad", "volt"),
    [("25 mfd 25 vdc neg. common", 25e-6, 25), ("46·1 µF 450 V", 46.1e-6, 450)],
)
def test_common_terminals_and_middle_dots_are_understood(text, farad, volt):
    rating = parse_rating(text)
    assert rating.capacitances == pytest.approx((farad,))
    assert rating.voltages == (volt,)


def test_mf_is_decided_once_for_all_sections():
    rating = parse_rating("16-16-8 mF 450 WV")
    assert rating.capacitances == pytest.approx((16e-6, 16e-6, 8e-6))
    assert sum("mF" in flag for flag in rating.flags) == 1


@pytest.mark.parametrize("text", ["yes", "ja", "Oui", "ok", "Done.", "settled", "failed"])
def test_that_a_part_was_reformed_does_not_tell_the_outcome(text):
    with pytest.raises(MarkingError, match="its outcome is not told; write settled below limit, "):
        parse_reform_outcome(text)


@pytest.mark.parametrize("text", ["stopped, got hot", "did not smoke", "not shorted", "smoked?"])
def test_an_outcome_that_is_not_plain_is_asked_about(text):
    with pytest.raises(MarkingError, match=r"reforming: .*; write "):
        parse_reform_outcome(text)


@pytest.mark.parametrize(("text", "both"), [("0.2", "0.2 % or 20 %"), ("0,05", "0.05 % or 5 %")])
def test_a_bare_tolerance_below_one_may_be_percent_or_a_fraction(text, both):
    with pytest.raises(MarkingError, match=f"ambiguous: {both}; write it with the % sign"):
        parse_tolerance(text)
    assert parse_tolerance(f"{text} %")[1] == pytest.approx(float(text.replace(",", ".")) / 100)


@pytest.mark.parametrize("text", ["-5", "−32 µF 450 V", "- 8 MFD"])
def test_a_negative_rating_is_refused_and_not_read_without_its_sign(text):
    with pytest.raises(MarkingError, match="cannot be negative"):
        parse_rating(text)
