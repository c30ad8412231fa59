"""Looks: findings by eye in six languages, denial, doubt, and what is left over."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage.columns import LOOKS
from captriage.readers.looks import parse_looks


@pytest.mark.parametrize(
    ("text", "looks"),
    [
        # Wording of owners in the collected cases
        ("end blown off", {"burst"}),
        ("exploded", {"burst"}),
        ("burst, shards and soot", {"burst", "scorched"}),
        ("electrolyte leaked, strong smell", {"leaked"}),
        ("leaked onto board, several parts", {"leaked"}),
        ("body perfect", {"sound"}),
        ("all look good", {"sound"}),
        # our own
        ("bulged, crusty; sleeve shrunk", {"bulged", "residue", "sleeve"}),
        ("bung pushed out", {"vented"}),
        ("vent open", {"vented"}),
        ("old dried crust at the seal", {"residue"}),
        ("fitted backwards", {"reversed"}),
        ("polarity reversed", {"reversed"}),
        ("no polarity mark", {"polarity unclear"}),
        ("sleeve split", {"sleeve"}),
        ("no sleeve", {"sleeve"}),
        ("rubber seal cracked", {"split"}),
        ("lead broken off", {"broken terminal"}),
        ("terminals corroded", {"corroded"}),
        ("gets warm, hissing", {"warm", "noisy"}),
        ("dents", {"dented"}),
        ("vent intact", {"sound"}),
        ("looks ok but smells", {"leaked"}),
        ("LEAKING!!", {"leaked"}),
        ("gewölbt und ausgelaufen", {"bulged", "leaked"}),
        ("verkrustet, Anschluss abgebrochen", {"residue", "broken terminal"}),
        ("gonflé, résidus", {"bulged", "residue"}),
        ("hinchado y con fugas", {"bulged", "leaked"}),
        ("gonfio, crosta sulla guarnizione", {"bulged", "residue"}),
        ("bol, gelekt", {"bulged", "leaked"}),
        ("verpolt", {"reversed"}),
    ],
)
def test_findings_are_named_whatever_the_words(text, looks):
    found, leftover = parse_looks(text)
    assert set(found) == looks
    assert leftover == ""


@pytest.mark.parametrize(
    "text",
    [
        "ok",
        "Good",
        "fine",
        "clean",
        "perfect",
        "i.O.",
        "gut",
        "bon",
        "bien",
        "buono",
        "goed",
        "no visible damage",
        "rien à signaler",
        "keine Schäden",
    ],
)
def test_nothing_wrong_is_sound(text):
    assert parse_looks(text) == (("sound",), "")


@pytest.mark.parametrize(
    "text",
    [
        "not bulged",
        "no leaks",
        "nicht ausgelaufen",
        "kein Elko ausgelaufen",
        "pas de fuite",
        "ne fuit pas",
        "sin fugas",
        "nessuna perdita",
        "niet gelekt",
        "leaks: none",
        "leak-free",
        "no leaks, bulges or residue",
        "no bulging or leaking",
    ],
)
def test_faults_only_denied_are_sound_looks(text):
    assert parse_looks(text) == (("sound",), "")


@pytest.mark.parametrize("text", ["not ok", "not good", "nicht gut", "pas bon", "no bueno"])
def test_soundness_denied_is_not_sound(text):
    keys, leftover = parse_looks(text)
    assert keys == ()
    assert leftover


@pytest.mark.parametrize(
    ("text", "look"),
    [
        ("slightly bulged?", "bulged"),
        ("maybe leaking", "leaked"),
        ("not sure if leaked", "leaked"),
        ("not only bulged", "bulged"),
        ("not leaking but bulged", "bulged"),
        ("no damage, slight residue", "residue"),
        ("not bulged, crusty", "residue"),
    ],
)
def test_doubt_counts_and_denial_ends_with_its_clause(text, look):
    assert parse_looks(text) == ((look,), "")


@pytest.mark.parametrize(
    ("text", "leftover"),
    [
        ("banana", "banana"),
        ("not good", "not good"),
        ("bulged; seen better days", "seen better days"),
    ],
)
def test_text_that_is_not_understood_is_handed_back(text, leftover):
    assert parse_looks(text)[1] == leftover


@pytest.mark.parametrize(
    ("text", "looks"),
    [
        ("no doubt bulged", {"bulged"}),
        ("sans doute gonflé", {"bulged"}),
        ("no markings bulged top", {"bulged"}),
        ("no markings, bulged or leaking", {"bulged", "leaked"}),
        ("no leaks, old cap, bulged or domed", {"bulged"}),
        ("no leakage or bulging, crusty or wet", {"residue", "leaked"}),
        ("ok, end cap not flat", {"bulged"}),
        ("keine Mängel außer Beule oben", {"bulged"}),
        ("no bulge but electrolyte on chassis", {"leaked"}),
        ("not ok bulged", {"bulged"}),
        ("not bulged leaked", {"leaked"}),
        ("never reformed, bulged", {"bulged"}),
        ("no: bulged", {"bulged"}),
    ],
)
def test_a_denial_does_not_swallow_the_fault_behind_it(text, looks):
    assert set(parse_looks(text)[0]) == looks


@pytest.mark.parametrize(
    "text",
    [
        "no sign of leakage",
        "no visible bulging",
        "no electrolyte visible",
        "no electrolyte leak",
        "no wet residue",
        "neither bulged nor leaking",
        "without any leaks, bulges, or residue",
        "not bulged or leaking at the top",
        "keine Beule oben",
        "lekt niet",
        "ni bombé ni fendu",
        "no hay fugas",
    ],
)
def test_a_denial_reaches_what_it_is_joined_to(text):
    assert parse_looks(text) == (("sound",), "")


@pytest.mark.parametrize("text", ["not good", "bad", "not sound", "not new"])
def test_a_judgement_that_names_no_fault_is_handed_back(text):
    assert parse_looks(text) == ((), text)


@pytest.mark.parametrize(
    ("text", "look"),
    [
        ("aufgeblasen", "bulged"),
        ("dicke Backen", "bulged"),
        ("Deckel hochgekommen", "bulged"),
        ("top raised", "bulged"),
        ("expanded", "bulged"),
        ("levantado", "bulged"),
        ("enflé", "bulged"),
        ("sollevato", "bulged"),
        ("uitgezet", "bulged"),
        ("electrolyte visible", "leaked"),
        ("electrolyte on chassis", "leaked"),
        ("Pfütze", "leaked"),
        ("s'est ouvert", "vented"),
        ("+ and - swapped", "reversed"),
        ("+/- vertauscht", "reversed"),
        ("plus und minus vertauscht", "reversed"),
        ("installed backwards", "reversed"),
    ],
)
def test_words_of_owners_in_six_languages(text, look):
    assert parse_looks(text) == ((look,), "")


@pytest.mark.parametrize("key", LOOKS)
def test_every_key_of_the_vocabulary_names_itself(key):
    assert parse_looks(key) == ((key,), "")


@pytest.mark.parametrize("text", ["", "  ", "n/a", "-", "?"])
def test_no_look_taken_is_no_finding(text):
    assert parse_looks(text) == ((), "")


@given(st.text(max_size=60))
def test_any_text_gives_known_looks_or_is_handed_back(text):
    found, leftover = parse_looks(text)
    assert set(found) <= set(LOOKS)
    assert not ("sound" in found and len(found) > 1)
    assert isinstance(leftover, str)
