"""Polarity named in free remarks, in six languages: what stops a part, and what stays a note.

All wordings are our own; the first five are those with which a restorer saw parts kept.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from captriage import judge
from captriage.readers.looks import parse_looks
from captriage.readers.remark_looks import looks_in_remark
from captriage.readers.remark_polarity import polarity_unclear


@pytest.mark.parametrize(
    "text",
    [
        "polarity + and - swapped on the tag strip",
        "+ an Masse",
        "wired + to minus",
        "plus and minus exchanged",
        "+ to chassis",
        "minus lead reversed",
        "+ to -",
        "(+) at the can",
        "+/- swapped",
        "+ve to chassis",
        "positive lead to earth",
        "plus goes to the can",
        "can positive",
        "tag 3 is plus",
        "Becher ist Plus",
        "polen verwisseld",
        "poli invertiti",
        "leads swapped",
        "connections crossed",
        "polarity?",
        "polarity ok?",
        "polarity not checked",
        "check polarity",
        "polarity right, was swapped before",
        "+ marked at the wrong end",
        "wired to minus",
        "neg. lead to HT",
        "+lead to ground",
        "positive earth set",
        "Becher: Plus",
        "Kabel vertauscht",
        "pluspool aan massa",
        "negative to B+",
        "Plus und Minus vertauscht",
        "Pluspol an Masse",
        "Plus an Gehäuse",
        "Anschlüsse vertauscht",
        "Pole vertauscht",
        "Polung fraglich",
        "Minus an Plus",
        "le plus à la masse",
        "plus et moins inversés",
        "+ à la masse",
        "polarité douteuse",
        "pôle positif au châssis",
        "positivo a masa",
        "más y menos cambiados",
        "polaridad dudosa",
        "polos invertidos",
        "positivo a massa",
        "più e meno scambiati",
        "il più al telaio",
        "polarità da verificare",
        "plus aan massa",
        "plus en min verwisseld",
        "polariteit niet zeker",
        "de min aan plus",
    ],
)
def test_polarity_that_is_not_said_to_be_right_stops_the_part(text):
    assert looks_in_remark(text)  # a look that forbids "keep"
    assert set(looks_in_remark(text)) <= {"unclear", "reversed", "polarity unclear"}


@pytest.mark.parametrize(
    "text",
    [
        "polarity checked, ok",
        "polarity right",
        "polarity, checked",
        "polarity correct",
        "polarity ok, clean",
        "polarity checked, sits behind the rectifier",
        "+ marked",
        "+ and - marked on the can",
        "plus marked",
        "polarity ok per schematic",
        "polarity as marked, checked",
        "Polarität stimmt mit Schaltplan",
        "common negative",
        "can is negative",
        "Becher ist Minus",
        "negative to chassis",
        "minus an Masse",
        "+ to B+",
        "Polarität geprüft",
        "Polung richtig",
        "Polung stimmt",
        "keine Verpolung",
        "polarité correcte",
        "polarité vérifiée, bonne",
        "moins à la masse",
        "polaridad correcta",
        "negativo a masa",
        "polarità giusta",
        "polariteit goed",
        "min aan massa",
    ],
)
def test_polarity_that_is_said_to_be_right_stays_a_note(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "+10 %",
        "tolerance -20/+50 %",
        "-20 +50%",
        "+ 5 min",
        "+/- 10 %",
        "± 20 %",
        "plus or minus 10 %",
        "plus/minus 5%",
        "plus ou moins 10 %",
        "C1+C2",
        "C1 + C2 in parallel",
        "16+16 µF",
        "8 + 8 µF in one can",
        "B+ 310 V",
        "HT+",
        "on the HT+ line",
        "behind the B+ choke",
        "+310 V rail",
        "-12 V",
        "negative bias supply",
        "cleaned + tested",
        "read twice - on the shelf since 1980",
        "5 min at 300 V",
        "min 5 mA",
        "le plus grand des trois",
        "en plus",
        "non plus",
        "au moins 5 min",
        "más grande",
        "più grande degli altri",
        "speaker polarity marked with a dot",
        "reverse polarity protection diode beside it",
        "swapped in from the spare set",
        "double-pole switch",
        "polarised type",
        "new leads soldered on",
    ],
)
def test_figures_rails_and_other_things_name_no_polarity(text):
    assert looks_in_remark(text) == ()


@pytest.mark.parametrize(
    "text",
    ["+ an -", "case is +", "can +", "the + was on the -", "good, + on case", "+ on case ok"],
)
def test_signs_are_no_filler_under_looks(text):
    assert parse_looks(text)[0] == ("unclear",)


@pytest.mark.parametrize("text", ["polarity ok", "+ marked, good", "Polarität in Ordnung"])
def test_polarity_that_is_right_is_sound_under_looks(text):
    assert parse_looks(text)[0] == ("sound",)


@given(st.text(alphabet="+-/() abcdehlmnoprstuy0123456789%?,;.", max_size=40))
def test_what_is_found_does_not_hang_on_spaces_around_it(text):
    assert polarity_unclear(text) == polarity_unclear(f"  {text} ")


GOOD_PART = """part;rating;made;C 120 Hz (µF);ESR 1 kHz (Ω);leakage (mA);test V;after (min);remarks
C1;32 µF 450 V;1959;33;2;0.05;450;5;{}
"""


@pytest.mark.parametrize(
    ("remark", "verdict"),
    [
        ("", "keep"),
        ("polarity checked, ok", "keep"),
        ("between B+ and chassis", "keep"),
        ("polarity + and - swapped on the tag strip", "not judged"),
        ("+ an Masse", "not judged"),
        ("wired + to minus", "not judged"),
        ("plus and minus exchanged", "not judged"),
        ("+ to chassis", "not judged"),
    ],
)
def test_a_part_that_reads_well_is_not_kept_where_its_polarity_is_in_doubt(
    tmp_path, remark, verdict
):
    path = tmp_path / "stranger.csv"
    path.write_text(GOOD_PART.format(remark), encoding="utf-8")
    assert judge([path], today_year=2026).verdicts["verdict"].tolist() == [verdict]
