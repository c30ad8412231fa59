"""Umlauts and ß spelt out, as on keyboards without them; all wordings are our own."""

import pytest

from captriage.readers.cell_words import APPROX, word_flag
from captriage.readers.datecodes import parse_made
from captriage.readers.headings import parse_heading
from captriage.readers.looks import parse_looks
from captriage.readers.other_kinds import other_kind
from captriage.readers.part_words import parse_reform_outcome, parse_role
from captriage.readers.remark_looks import looks_in_remark
from captriage.readers.umlauts import both_spellings, either_spelling


@pytest.mark.parametrize(
    "text",
    [
        "Deckel gewölbt",
        "Gehäuse gewölbt",
        "aufgebläht",
        "Riss im Gehäuse",
        "Hülle beschädigt",
        "Gehäuse handwarm",
        "Gehäuse heiß",
        "wird heiß",
        "überhitzt",
        "voll Ruß",
        "Ausblühungen am Boden",
        "Grünspan",
        "eingedrückt",
        "Polarität unklar",
        "Anschlüsse vertauscht",
        "Plus an Gehäuse",
    ],
)
def test_a_look_is_the_same_with_umlauts_spelt_out(text):
    spelt = text
    for umlaut, letters in zip("äöüßÄÖÜ", ["ae", "oe", "ue", "ss", "Ae", "Oe", "Ue"], strict=True):
        spelt = spelt.replace(umlaut, letters)
    assert spelt != text
    assert looks_in_remark(text)
    assert looks_in_remark(spelt) == looks_in_remark(text)
    assert parse_looks(spelt)[0] == parse_looks(text)[0]


@pytest.mark.parametrize(
    ("spelt", "text"),
    [
        ("Pruefspannung (V)", "Prüfspannung (V)"),
        ("Kapazitaet (uF)", "Kapazität (uF)"),
        ("Messgeraet", "Messgerät"),
        ("Sichtpruefung", "Sichtprüfung"),
        ("Gehaeuse", "Gehäuse"),
        ("Pruefdatum", "Prüfdatum"),
    ],
)
def test_a_heading_is_the_same_with_umlauts_spelt_out(spelt, text):
    found, same = parse_heading(text), parse_heading(spelt)
    assert found.column
    assert (same.column, same.unit) == (found.column, found.unit)


def test_words_in_cells_are_the_same_with_umlauts_spelt_out():
    assert word_flag("Bereichsueberschreitung") == word_flag("Bereichsüberschreitung") != ""
    assert word_flag("nicht geprueft") == word_flag("nicht geprüft") != ""
    assert APPROX.match("ungefaehr 5") is not None
    assert parse_reform_outcome("laeuft noch") == parse_reform_outcome("läuft noch")
    assert parse_role("Glaettung") == parse_role("Glättung")
    assert parse_made("Maerz 1962", today_year=2026) == parse_made("März 1962", today_year=2026)
    assert other_kind("Oelpapier") == other_kind("Ölpapier") == "paper"


def test_polarity_that_is_right_is_understood_spelt_out():
    assert looks_in_remark("Polaritaet geprueft") == ()
    assert looks_in_remark("Minus am Gehaeuse") == ()


@pytest.mark.parametrize("text", ["shoe", "residue of the label glue", "aerial", "value", "blue"])
def test_letters_that_are_no_umlaut_change_nothing(text):
    assert looks_in_remark(text) == ()


def test_a_class_of_characters_stands_for_one():
    assert either_spelling("[aä]ß") == "[aä](?:ß|ss)"
    assert list(both_spellings(["grün", "rot"])) == ["grün", "gruen", "rot"]
