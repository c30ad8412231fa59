"""Words that are typed while a voltage stands, and switch it off."""

import pytest

from captriage.bench.danger_words import stop_at_danger, tells_danger
from captriage.bench.stopping import Stopped


@pytest.mark.parametrize(
    "typed",
    ["hisses", "smokes", "hot", "vented", "it hisses", "HOT!", "Smoke", "bang", "off", "it's warm",
     "it smells", "bulging", "crackles", "not hot", "er zischt", "raucht", "wird heiss", "heiß",
     "gewoelbt", "aus!", "knallt", "riecht", "ça chauffe", "arrete", "fumée", "éclaté", "humo",
     "está caliente", "scotta, è caldo", "bruciato", "sist", "rook", "heet", "uit"],
)  # fmt: skip
def test_a_word_of_danger_is_known_wherever_it_stands(typed):
    assert tells_danger(typed)


@pytest.mark.parametrize(
    "typed",
    ["", "1.2 mA", "OL", "open", "short", "-", "about 3 mA", "yes", "1,2 mA", "no reading",
     "not yet", "ungefähr 3 mA", "gegen 1 mA"],
)  # fmt: skip
def test_a_reading_is_no_word_of_danger(typed):
    assert not tells_danger(typed)


def test_it_stops_the_run_at_once():
    stop_at_danger("1.2 mA")
    with pytest.raises(Stopped, match=r"^the person typed 'it hisses'$") as stopped:
        stop_at_danger("it hisses")
    assert stopped.value.urgent
