"""Warmth and smoke told in free remarks, in six languages, and what only sounds like them.

All wordings are our own; some are those with which a restorer saw parts kept.
"""

import pytest

from captriage.readers.remark_looks import looks_in_remark


@pytest.mark.parametrize(
    ("text", "looks"),
    [
        ("gets warm at 400 V", {"warm"}),
        ("getting hot", {"warm"}),
        ("hot after ten minutes", {"warm"}),
        ("handwarm", {"warm"}),
        ("hand warm after 10 min", {"warm"}),
        ("fingerwarm", {"warm"}),
        ("sehr heiß geworden", {"warm"}),
        ("se calienta mucho", {"warm"}),
        ("it smoked at 300 V", {"scorched"}),
        ("raucht", {"scorched"}),
        ("lukewarm", {"warm"}),
        ("too hot to touch", {"warm"}),
        ("heating up", {"warm"}),
        ("Gehäuse handwarm", {"warm"}),
        ("wurde heiss", {"warm"}),
        ("wird zu heiß", {"warm"}),
        ("erwärmt sich", {"warm"}),
        ("chauffe un peu", {"warm"}),
        ("se calienta", {"warm"}),
        ("si scalda", {"warm"}),
        ("wordt handwarm", {"warm"}),
        ("very hot at 200V", {"warm"}),
        ("hot after 5min", {"warm"}),
        ("got hot in the amp", {"warm"}),
    ],
)
def test_warmth_and_smoke_are_taken_in_six_languages(text, looks):
    assert set(looks_in_remark(text)) == looks


@pytest.mark.parametrize(
    "text",
    [
        "hot glue residue",
        "from a smoker",
        "no smoke",
        "the transformer smoked",
        "Heißkleberreste",
        "Heisskleberreste",
        "warm-up 5 min",
        "HT",
        "shot",
        "photo taken",
        "shown to a friend",
        "heat-shrink renewed",
        "heat sink beside it",
        "heater supply",
        "riscaldamento",
        "Wärmeleitpaste daneben",
    ],
)
def test_what_only_sounds_like_warmth_or_smoke_stays_a_note(text):
    assert looks_in_remark(text) == ()
