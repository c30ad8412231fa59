"""The drawer of specimens: as its parts list has it, and what a file may not say."""

from __future__ import annotations

from pathlib import Path

import pytest

from captriage.bench.rehearsal.drawer import REFORMING, demo_drawer, parts_list, read_drawer
from captriage.bench.rehearsal.natures import KINDS
from captriage.errors import CapTriageError
from captriage.readers.sheets import read_sheets

DEMO = Path(__file__).parents[3] / "data_demo"
WHOLE = """schema = 1
[D1]
kind = "fresh"
capacitance_rated = "32 µF"
voltage_rated = "450 V"
capacitance = "34u"
resistance = "2R1"
"""


@pytest.fixture(scope="module")
def listed():
    return read_sheets([DEMO / "rehearsal" / "drawer.csv"], today_year=2026).parts.set_index("part")


def test_drawer_is_the_parts_list(listed):
    drawer = demo_drawer()
    assert [nature.part for nature in drawer] == list(listed.index)
    for nature in drawer:
        row = listed.loc[nature.part]
        assert nature.capacitance_rated == pytest.approx(row["capacitance_rated"])
        assert nature.voltage_rated == row["voltage_rated"]


def test_drawer_to_be_reformed_is_its_parts_list():
    listed = read_sheets([parts_list(REFORMING)], today_year=2026)
    assert listed.set_aside["line"].tolist() == [1]  # the title
    rows = listed.parts.set_index("part")
    drawer = demo_drawer(REFORMING)
    assert [nature.part for nature in drawer] == list(rows.index)
    for nature in drawer:
        assert nature.capacitance_rated == pytest.approx(rows.loc[nature.part, "capacitance_rated"])
        assert nature.voltage_rated == rows.loc[nature.part, "voltage_rated"]
    assert (rows["voltage_working"] < rows["voltage_rated"]).all()
    assert not {nature.part for nature in demo_drawer()} & set(rows.index)


def test_parts_list_is_read_whole(listed):
    assert len(listed) == 12
    assert listed["made"].between(1959, 2004).all()
    assert listed["idle_years"].notna().all()
    assert (listed["voltage_working"] < listed["voltage_rated"]).all()
    assert (listed["role"] != "").all()


def test_drawer_holds_every_kind_and_one_charged_part():
    drawer = demo_drawer()
    assert {nature.kind for nature in drawer} == set(KINDS)
    assert [nature.part for nature in drawer if nature.holds_v > 1] == ["D5"]


@pytest.mark.parametrize(
    "name", ["drawer.csv", "specimens.toml", "reforming.csv", "reforming.toml"]
)
def test_files_say_that_all_is_invented(name):
    head = (DEMO / "rehearsal" / name).read_text(encoding="utf-8").splitlines()[0]
    assert "nvented" in head


def test_file_is_read_with_units_as_people_write_them(tmp_path):
    path = tmp_path / "d.toml"
    path.write_text(WHOLE + 'holds = "12 V"\nleakage_residual = "0.1 mA"\nclosed_s = 2\n', "utf-8")
    (nature,) = read_drawer(path)
    assert (nature.capacitance, nature.resistance) == pytest.approx((34e-6, 2.1))
    assert (nature.holds_v, nature.leakage_residual, nature.closed_s) == (12.0, 1e-4, 2.0)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("schema = 2", r"d\.toml: schema is 2; 1 is known"),
        ("=", r"d\.toml: .*; a TOML file of specimens is needed"),
        (WHOLE.replace("fresh", "fine"), r"\[D1\]: kind is 'fine'; fresh, dried out, leaky"),
        (WHOLE.replace("resistance =", "resistence ="), r"\[D1\]: 'resistence' is not known; "),
        (WHOLE.replace('resistance = "2R1"', ""), r"\[D1\]: resistance is missing; every part"),
        (WHOLE.replace('"34u"', '"34 V"'), r"\[D1\]: capacitance is '34 V'; a number of zero"),
        (WHOLE.replace('"34u"', "34"), r"\[D1\]: capacitance is 34; a number .* its unit, F"),
        (WHOLE + "closed_s = -1", r"\[D1\]: closed_s is -1; a number of zero or more"),
        (WHOLE + "closed_s = true", r"\[D1\]: closed_s is True; a number of zero or more"),
    ],
)
def test_file_that_is_wrong_is_refused(text, message, tmp_path):
    path = tmp_path / "d.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CapTriageError, match=message):
        read_drawer(path)


def test_file_that_is_missing_is_refused(tmp_path):
    with pytest.raises(CapTriageError, match=r"none\.toml: .*; a TOML file of specimens"):
        read_drawer(tmp_path / "none.toml")
