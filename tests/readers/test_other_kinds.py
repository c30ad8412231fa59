"""Capacitors that are no aluminium electrolytics are told from those, and judged by no rule."""

from __future__ import annotations

import pytest

from captriage.errors import MarkingError
from captriage.jobs.sheets import judge
from captriage.readers.markings import parse_rating
from captriage.readers.other_kinds import other_kind


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("tantalum", "tantalum"),
        ("Solid tantalum bead", "tantalum"),
        ("Tantal-Elko", "tantalum"),
        ("film capacitor", "film"),
        ("MKP", "film"),
        ("Papierkondensator", "paper"),
        ("paper", "paper"),
        ("waxed paper sleeve", ""),
        ("electrolytic, etched foil", ""),
        ("plain foil", ""),
        ("near the tantalum", ""),
        ("can", ""),
    ],
)
def test_a_cell_names_another_kind_only_where_nothing_else_stands_in_it(text, kind):
    assert other_kind(text) == kind


@pytest.mark.parametrize("text", ["10 µF 35 V tantalum", "Tantal 10 µF 35 V", "film 1 µF 450 V"])
def test_a_marking_of_another_kind_says_so(text):
    with pytest.raises(MarkingError, match=r"no aluminium electrolytic.*; leave it out, and judge"):
        parse_rating(text)


@pytest.mark.parametrize("heading", ["type", "construction", "notes"])
def test_a_part_of_another_kind_is_not_judged_as_an_electrolytic(tmp_path, heading):
    sheet = tmp_path / "amp.csv"
    sheet.write_text(
        f"part,rating,made,{heading},C (µF),ESR (Ω),leakage (µA),leakage V\n"
        "C1,32 µF 450 V,1959,tantalum,33,2.5,400,450\n"
        "C2,32 µF 450 V,1959,can,33,2.5,400,450\n",
        encoding="utf-8",
    )
    judgement = judge([sheet], today_year=2026)
    assert judgement.verdicts["verdict"].tolist() == ["not judged", "keep"]
    assert judgement.set_aside["reason"].iloc[0].startswith("tantalum: no aluminium electrolytic")
