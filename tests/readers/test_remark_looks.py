"""Damage told in free remarks: what is taken in six languages, and what is left a note.

All wordings are our own, in the manner of the sheets that were collected.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage import judge
from captriage.columns import LOOKS
from captriage.readers.looks import parse_looks
from captriage.readers.remark_looks import TAKEN, looks_in_remark
from captriage.readers.sheets import read_sheets


@pytest.mark.parametrize(
    ("text", "looks"),
    [
        ("domed", {"bulged"}),
        ("bung pushed out, wet", {"vented", "leaked"}),
        ("lid domed 3mm, 22 µF", {"bulged"}),
        ("has a slight dome", {"bulged"}),
        ("reads ok but bulged", {"bulged"}),
        ("tested at 300 V (bulged)", {"bulged"}),
        ("some weeping at the rubber", {"leaked"}),
        ("electrolyte on the board", {"leaked"}),
        ("vented at 300V", {"vented"}),
        ("blew up at 400 V", {"burst"}),
        ("scorched on one side", {"scorched"}),
        ("crust around the terminals", {"residue"}),
        ("was fitted backwards", {"reversed"}),
        ("polarity unclear", {"polarity unclear"}),
        ("hisses at 300 V", {"noisy"}),
        ("sparks inside", {"noisy"}),
        ("case split along the seam", {"split"}),
        ("was reversed in circuit", {"reversed"}),
        ("smells of fish", {"leaked"}),
        ("arced over at 400 V", {"noisy"}),
        ("Funken im Becher", {"noisy"}),
        ("the switch sparked", set()),
        ("popped last week", {"burst"}),
        ("was wired backwards by the last man", {"reversed"}),
        ("green goo at the tags", {"leaked"}),
        ("old hard residue", {"residue"}),
        ("sparks when touched", {"noisy"}),
        ("hole in the can", {"split"}),
        ("bit of white crust round the seal", {"residue"}),
        ("corroded tags", {"corroded"}),
        ("dented", {"dented"}),
        ("sleeve torn", {"sleeve"}),
        ("one lead snapped", {"broken terminal"}),
        ("letzte Woche geplatzt", {"burst"}),
        ("it went bang", {"burst"}),
        ("green tags", {"corroded"}),
        ("Loch im Becher", {"split"}),
        ("trou dans le boîtier", {"split"}),
        ("Deckel gewölbt", {"bulged"}),
        ("Deckel nach oben gedrückt", {"bulged"}),
        ("Elko ausgelaufen", {"leaked"}),
        ("Stopfen herausgedrückt, feucht", {"vented", "leaked"}),
        ("Riss im Gehäuse", {"split"}),
        ("verpolt eingebaut", {"reversed"}),
        ("zischt bei 300 V", {"noisy"}),
        ("le fond est bombé", {"bulged"}),
        ("bouchon sorti, humide", {"vented", "leaked"}),
        ("a coulé", {"leaked"}),
        ("éclaté", {"burst"}),
        ("tapa abombada", {"bulged"}),
        ("tapón salido, húmedo", {"vented", "leaked"}),
        ("ha reventado", {"burst"}),
        ("fondo rigonfio", {"bulged"}),
        ("tappo uscito, bagnato", {"vented", "leaked"}),
        ("scoppiato", {"burst"}),
        ("bol deksel", {"bulged"}),
        ("stop eruit, nat", {"vented", "leaked"}),
        ("gelekt over de print", {"leaked"}),
        ("ontploft", {"burst"}),
        # other things are named, but not as what it is said of
        ("original cap bulging", {"bulged"}),
        ("other half of the can burst", {"burst"}),
        ("sits next to the transformer and is bulged", {"bulged"}),
        ("resistor covered in electrolyte", {"leaked"}),
        ("Etikett voll Elektrolyt", {"leaked"}),
    ],
)
def test_damage_is_taken_in_six_languages(text, looks):
    assert set(looks_in_remark(text)) == looks


@pytest.mark.parametrize(
    "text",
    [
        "not bulged",
        "vent not open",
        "no lead broken",
        "no hole in the can",
        "did not get hot",
        "neither bulged nor leaking",
        "no sign of bulging or leakage",
        "nicht gewölbt",
        "kein Auslaufen, nicht gewölbt",
        "pas gonflé, sans fuite",
        "no hinchado, no tiene fugas",
        "non gonfio, senza perdite",
        "niet bol, geen lekkage",
    ],
)
def test_damage_denied_is_not_taken(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "scorched resistor next to it",
        "resistor next to it scorched",
        "neighbour leaked",
        "one of two, the other leaked",
        "old one burst, this is new",
        "replaces a leaked one",
        "blew the fuse",
        "transformer wax melted",
        "next to the hot valve",
        "board burnt under the resistor",
        "Widerstand daneben verbrannt",
        "ausgelaufene Batterie",
        "près du tube chaud",
        "résistance brûlée à côté",
        "resistencia quemada al lado",
        "il precedente è scoppiato",
        "de vorige is ontploft",
    ],
)
def test_what_is_said_of_another_thing_is_left_a_note(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "leaks 2 mA",
        "leakage rising",
        "leaky, 5 mA at 450 V",
        "courant de fuite 2 mA",
        "corriente de fuga 3 mA",
        "corrente di perdita 2 mA",
        "lekt 2 mA bij 450 V",
        "Leckstrom 3 mA",
    ],
)
def test_a_current_that_leaks_is_no_leak_of_the_case(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "split supply",
        "vent hole in the lid",
        "alimentation chauffage",
        "amp runs hot",
        "hiss in left channel",
        "sparks from the switch",
        "crackles when the pot is turned",
        "taken from a warm dry cupboard",
        "flux residue",
        "burst of noise",
        "warm-up takes ten minutes",
        "from the damp cellar",
        "Russian type",
        "wet tantalum",
        "noisy amplifier",
        "powder-coated chassis",
        "hot-melt glue on base",
        "mounted upside down under the chassis",
        "popped in from the drawer",
        "electrolyte dried out",
        "open",
        "dead short",
        "after the rectifier valve",
        "common negative",
        "liegt lose in der Schublade",
        "perde il 20 % di capacità",
        "good, like new",
    ],
)
def test_words_of_looks_in_other_senses_are_left_a_note(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "leaky",
        "popped rather like a cork would",
        "some strange brown crust that grew there",
        "got hot enough to fry an egg",
        "hiss in the amp",
        "sat next to the transformer hot as an oven",
        "leads cut off short",
        "leaking badly",
        "fuite",
        "noisy",
        "check for leaks",
        "prüfen ob gewölbt",
        "may have leaked",
        "transformer hums loudly every evening the radio plays lid domed",
    ],
)
def test_what_cannot_be_told_is_to_be_looked_at(text):
    assert looks_in_remark(text) == ("unclear",)


def test_a_part_by_name_is_this_part_only_where_the_name_is_its_own():
    assert looks_in_remark("C8 leaked", own_name="C7") == ("unclear",)
    assert looks_in_remark("C8 leaked", own_name="C8") == ("leaked",)
    assert looks_in_remark("leaked onto R5", own_name="C7") == ("leaked",)


def test_the_words_of_leaks_are_of_the_case_where_a_place_on_it_is_named():
    assert looks_in_remark("leaking at the seal, 2 mA at 400 V") == ("leaked",)


@given(st.text(max_size=60))
def test_any_remark_gives_known_looks_and_never_sound(text):
    assert set(looks_in_remark(text)) <= (TAKEN | {"unclear"}) & set(LOOKS)


@pytest.mark.parametrize("look", ["bulged", "vented", "leaked", "burst", "scorched"])
def test_a_look_by_its_key_is_the_same_in_a_remark_as_under_looks(look):
    assert looks_in_remark(look) == parse_looks(look)[0]


SHEET = """Nr.;Aufdruck;Leckstrom;Messspannung (V);nach (min);Bemerkung
C1;32 µF 450 V;6 mA;450;5;{}
"""


def read(tmp_path, remark):
    path = tmp_path / "fremd.csv"
    path.write_text(SHEET.format(remark), encoding="utf-8")
    return read_sheets([path], today_year=2026)


def test_damage_in_the_remark_of_a_sheet_is_a_look_with_its_text_and_place(tmp_path):
    sheets = read(tmp_path, "Deckel gewölbt")
    assert sheets.looks[["look", "raw", "line", "column"]].values.tolist() == [
        ["bulged", "Deckel gewölbt", 2, 6]
    ]
    assert sheets.parts["note"].tolist() == ["Deckel gewölbt"]


def test_a_remark_without_damage_stays_a_note_alone(tmp_path):
    sheets = read(tmp_path, "hinter der Gleichrichterröhre")
    assert sheets.looks.empty
    assert sheets.set_aside.empty
    assert sheets.parts["note"].tolist() == ["hinter der Gleichrichterröhre"]


# Leaks above its limit, else good: reformed where nothing is seen.
LEAKY_PART = """part;rating;made;C 120 Hz (µF);ESR 1 kHz (Ω);leakage (mA);at (V);after (min);{}
C1;32 µF 450 V;1959;33;2;3;450;5;{}
"""


@pytest.mark.parametrize(
    ("heading", "remark", "verdict"),
    [
        ("remarks", "", "reform"),
        ("remarks", "not bulged", "reform"),
        ("remarks", "leaks 3 mA", "reform"),
        ("remarks", "scorched resistor next to it", "reform"),
        ("remarks", "domed", "replace"),
        ("notes", "bung pushed out, wet", "replace"),
        ("Bemerkung", "Elko ausgelaufen", "replace"),
        ("remarques", "bombé", "replace"),
        ("observaciones", "tapa abombada", "replace"),
        ("osservazioni", "fondo rigonfio", "replace"),
        ("opmerkingen", "bol deksel", "replace"),
        ("remarks", "leaky", "not judged"),
        ("remarks", "popped last week", "replace"),
        ("remarks", "was wired backwards by the last man", "replace"),
        ("remarks", "hole in the can", "replace"),
        ("remarks", "got hot enough to fry an egg", "not judged"),
    ],
)
def test_damage_in_a_remark_stops_a_reform(tmp_path, heading, remark, verdict):
    path = tmp_path / "stranger.csv"
    path.write_text(LEAKY_PART.format(heading, remark), encoding="utf-8")
    assert judge([path], today_year=2026).verdicts["verdict"].tolist() == [verdict]
