"""A bench sheet must not forget what was found: it is filled in with good figures and judged."""

import csv
import io

import pytest

from captriage.jobs import sheets as jobs
from captriage.report.bench_sheets import TO_READ, write_csv, write_html, write_markdown

HEAD = (
    "part,rating,made,idle (years),role,looks,resistance (ohm),C (µF),C frequency (Hz),"
    "leakage (µA),test voltage (V),after (min),in circuit,reforming"
)
CONDEMNED = {
    # what was found: the row after rating, year, idle years and role
    "bulged": "bulged,,,,,,,,",
    "reversed": "reversed,,,,,,,,",
    "bulged and warm": "warm; bulged,,,,,,,,",
    "shorted": ",short,,,,,,,",
    "shorted by its ohms": ",2,,,,,,,",
    "open": ",,open,,,,,,",
    "open by its capacitance": ",,0.01,120,,,,,",
    "current stayed high": ",,,,,,,,settled above limit",
    "current rose": ",,,,,,,,rising",
    "broke down": ",,,,,,,,broken down",
}
GOOD = {
    "in circuit": "no",
    "looks": "sound",
    "capacitance (uF)": "47",
    "capacitance frequency (Hz)": "120",
    "ESR (ohm)": "0.9",
    "ESR frequency (Hz)": "120",
    "leakage (uA)": "2",
    "test voltage (V)": "63",
    "after (min)": "5",
    "temperature (C)": "20",
}


def bench_rows(tmp_path, *rows):
    """Rows of the bench sheet made for parts C1, C2 ... of 47 µF 63 V with these cells."""
    path = tmp_path / "parts.csv"
    lines = [f"C{n},47 µF 63 V,2001,0,decoupling,{row}" for n, row in enumerate(rows, 1)]
    path.write_text("\n".join([HEAD, *lines]) + "\n", encoding="utf-8")
    out = io.StringIO()
    write_csv(jobs.bench_sheet(path, today_year=2026), out)
    return list(csv.DictReader(io.StringIO(out.getvalue())))


def judged(tmp_path, rows):
    path = tmp_path / "bench.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return jobs.judge(path, today_year=2026).verdicts


def filled(row, *, over=False):
    """The row with good figures in its empty cells, or over what stands in them too."""
    return row | {name: text for name, text in GOOD.items() if over or not row[name]}


def test_good_figures_fill_every_cell_that_is_to_be_read():
    assert set(GOOD) == set(TO_READ)


def test_a_part_with_nothing_against_it_is_kept_once_good_figures_are_filled_in(tmp_path):
    rows = bench_rows(tmp_path, "sound,,,,,,,,")
    assert [row for row in rows[0] if row in TO_READ and rows[0][row]] == []
    assert list(judged(tmp_path, [filled(row) for row in rows])["verdict"]) == ["keep"]


@pytest.mark.parametrize("found", CONDEMNED)
def test_what_condemned_a_part_still_does_after_good_figures(tmp_path, found):
    rows = bench_rows(tmp_path, CONDEMNED[found])
    assert list(judged(tmp_path, [filled(row) for row in rows])["verdict"]) == ["replace"]


@pytest.mark.parametrize("found", CONDEMNED)
def test_good_figures_written_over_what_was_found_keep_no_part(tmp_path, found):
    rows = bench_rows(tmp_path, CONDEMNED[found])
    verdict = judged(tmp_path, [filled(row, over=True) for row in rows]).iloc[0]
    # An open part that then reads well contradicts itself; anything else stays condemned.
    assert verdict["verdict"] == ("not judged" if found.startswith("open") else "replace")


def test_a_current_that_rose_in_the_readings_stays_a_finding(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        "part,rating,leakage (µA),test voltage (V),after (min)\n"
        "C1,47 µF 63 V,400,63,1\nC1,47 µF 63 V,800,63,5\nC1,47 µF 63 V,1600,63,10\n",
        encoding="utf-8",
    )
    judgement = jobs.judge(path, today_year=2026)
    assert judgement.verdicts["decided_by"].iloc[0] == "leakage_not_rising"
    out = io.StringIO()
    write_csv(jobs.bench_sheet(path, today_year=2026), out)
    row = next(csv.DictReader(io.StringIO(out.getvalue())))
    assert (row["reforming"], row["leakage (uA)"]) == ("rising", "no voltage")
    assert list(judged(tmp_path, [filled(row)])["verdict"]) == ["replace"]


def test_a_short_read_in_circuit_is_read_again_out_of_it(tmp_path):
    rows = bench_rows(tmp_path, ",short,,,,,,yes,")
    assert rows[0]["in circuit"] == ""
    assert "resistance (ohm)" not in rows[0]
    assert list(judged(tmp_path, [filled(row) for row in rows])["verdict"]) == ["keep"]


def test_a_part_that_must_see_no_voltage_has_no_leakage_to_read(tmp_path):
    rows = bench_rows(tmp_path, CONDEMNED["bulged"], "sound,,,,,,,,", ",100,,,,,,,")
    assert [row["leakage (uA)"] for row in rows] == ["no voltage", "", "no voltage"]
    assert rows[2]["resistance (ohm)"] == "100"


@pytest.mark.parametrize("write", [write_markdown, write_html])
def test_what_was_found_stands_on_the_printed_sheet(tmp_path, write):
    bench_rows(tmp_path, "warm; bulged,,,,,,,,broken down", ",100,,,,,,,", ",,open,,,,,,")
    out = io.StringIO()
    write(jobs.bench_sheet(tmp_path / "parts.csv", today_year=2026), out)
    for text in ("bulged; warm; reforming: broken down", "100 Ω", "open"):
        assert text in out.getvalue()


def test_what_a_part_read_before_its_reform_is_carried_on(tmp_path):
    path = tmp_path / "parts.csv"
    path.write_text(
        "part,rating,made,reforming,C before (µF),C before freq (Hz),ESR before (Ω),"
        "ESR before freq (Hz)\n"
        "C1,47 µF 63 V,2001,healed,48.2,120,0.52,120\n"
        "C2,47 µF 63 V,2001,healed,,,,\n",
        encoding="utf-8",
    )
    sheet = jobs.bench_sheet(path, today_year=2026)
    out = io.StringIO()
    write_csv(sheet, out)
    first, second = csv.DictReader(io.StringIO(out.getvalue()))
    assert (first["capacitance before (uF)"], first["ESR before (ohm)"]) == ("48.2", "0.52")
    assert first["ESR before frequency (Hz)"] == "120"
    assert second["capacitance before (uF)"] == second["ESR before (ohm)"] == ""
    found = judged(tmp_path, [row | GOOD for row in (first, second)])
    assert found["verdict"].tolist() == ["replace", "keep"]  # 0.9 Ω after 0.52 Ω
    assert found["decided_by"].iloc[0] == "unchanged_by_reform"
    printed = io.StringIO()
    write_markdown(sheet, printed)
    assert "ESR before (ohm): 0.52" in printed.getvalue()


@pytest.mark.parametrize("idle", ["30", ""])
def test_a_sheet_sends_no_part_that_was_idle_straight_to_its_full_voltage(tmp_path, idle):
    path = tmp_path / "parts.csv"
    path.write_text(f"part,rating,made,idle\nC1,32 µF 450 V,1959,{idle}\n", encoding="utf-8")
    out = io.StringIO()
    write_csv(jobs.bench_sheet(path, today_year=2026), out)
    assert "raise the voltage slowly to 450 V through a resistor, watching" in out.getvalue()
    assert "Voltage: full voltage only after this reading." in out.getvalue()
    assert "not before it is read" not in out.getvalue()


@pytest.mark.parametrize("write", [write_csv, write_markdown, write_html])
def test_a_sheet_asks_for_an_unknown_rating_before_any_voltage(tmp_path, write):
    path = tmp_path / "parts.csv"
    path.write_text("part,rating,made\nC1,,1959\n", encoding="utf-8")
    out = io.StringIO()
    write(jobs.bench_sheet(path, today_year=2026), out)
    assert "Rating not known: find it from the circuit" in out.getvalue()
    assert "leakage at" not in out.getvalue()
    assert "leakage near" not in out.getvalue()
