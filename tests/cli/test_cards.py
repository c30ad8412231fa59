import csv
import io
import json

import pytest


def test_expect_prints_a_card_with_three_states_and_its_sources(captriage):
    answer = captriage("expect", "32 µF 450 V", "--made", 1959, "--frequency", 1000)
    assert answer.status == 0
    lines = answer.out.splitlines()
    assert lines[0].startswith("32 µF 450 V, made 1959 (")
    assert lines[1].startswith("At 1 kHz and 20 °C; leakage 5 min after")
    for name in ("capacitance", "ESR", "tan δ", "leakage"):
        assert any(line.startswith(f"{name} ") for line in lines)
    assert "Sources" in lines
    assert "Assumed" in lines
    assert max(map(len, lines)) <= 80


def section(answer, heading):
    """Items of one section of a card, each on one line."""
    text = answer.out.split(f"\n{heading}\n")[1].split("\n\n")[0]
    return [" ".join(item.split()) for item in text.removeprefix("  - ").split("\n  - ")]


def test_an_assumption_is_told_whole_and_after_what_it_is_of(captriage):
    assumed = section(captriage("expect", "32 µF 450 V", "--made", 1959), "Assumed")
    names = ("capacitance", "ESR", "tan δ", "leakage")
    assert all(item.startswith(names) for item in assumed)
    above = [item for item in assumed if "nothing is known above 1 kHz" in item]
    assert len(above) == 1
    assert "capacitance new: frequency: 1 kHz reads" in above[0]


def test_a_row_without_figures_has_no_source(captriage):
    # nothing is known of capacitance above 1 kHz, nor of tan δ, which takes it
    answer = captriage("expect", "32 µF 450 V", "--made", 1959, "--frequency", 10000)
    row = next(line for line in answer.out.splitlines() if line.startswith("capacitance "))
    assert set(row.split()[1:]) == {"–"}
    sources = section(answer, "Sources")
    assert all(item.startswith(("ESR", "leakage")) for item in sources)
    assert not any("tan δ new" in item or "capacitance" in item for item in sources)
    assert any("nothing is known above 1 kHz" in item for item in section(answer, "Assumed"))


def cards(answer):
    return json.loads(answer.out)["cards"]


def band(card, quantity, state):
    return next(b for b in card["bands"] if (b["quantity"], b["state"]) == (quantity, state))


def test_expect_prints_one_card_a_section(captriage):
    found = cards(captriage("expect", "50+16 µF 350 V", "--format", "json"))
    assert [card["section"] for card in found] == ["1", "2"]
    assert [card["capacitance_rated"] for card in found] == pytest.approx([50e-6, 16e-6])
    assert [card["voltage_rated"] for card in found] == [350.0, 350.0]
    assert found[0]["made"] is None


def test_expect_holds_a_vintage_part_to_the_published_vintage_limit(captriage):
    # JAN-C-62 as reported in amradio list post msg21215: 20 µF 450 V, 1.1 mA
    card = cards(captriage("expect", "20 µF 450 V", "--made", 1959, "--format", "json"))[0]
    assert band(card, "leakage_current", "new")["high"] == pytest.approx(1.1e-3)


def test_expect_takes_a_printed_tolerance(captriage):
    options = ("--tolerance", "-10/+50 %", "--format", "json")
    card = cards(captriage("expect", "40 µF 450 V", *options))[0]
    new = band(card, "capacitance", "new")
    # 40 µF -10/+50 %: 36 to 60 µF, by hand
    assert [new["low"], new["high"]] == pytest.approx([36e-6, 60e-6])


def test_expect_in_csv_is_a_row_a_band(captriage):
    rows = list(csv.DictReader(io.StringIO(captriage("expect", "10u 25V", "--format", "csv").out)))
    assert len(rows) == 12
    assert rows[0]["quantity"] == "capacitance"
    assert float(rows[0]["low"]) < 10e-6 < float(rows[0]["high"])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("banana",), "rating 'banana'"),
        (("10 µF 25 V", "--made", "banana"), "date of making 'banana'"),
        (("10 µF 25 V", "--grade", "banana"), "grade: 'banana' not understood; write general"),
        (("10 µF 25 V", "--role", "banana"), "role: 'banana' not understood; write reservoir"),
        (("10 µF 25 V", "--tolerance", "banana"), "tolerance: 'banana' not understood"),
        (("10 µF 25 V", "--policy", "banana"), "banana: cannot be read"),
        (("10 µF 25 V", "--frequency", "0"), "--frequency"),
        (("10 µF 25 V", "--soak", "-1"), "--soak"),
    ],
)
def test_expect_refuses_what_it_does_not_know_in_one_line(captriage, arguments, message):
    answer = captriage("expect", *arguments)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("captriage: ")
    assert message in answer.err
    assert answer.err.count("\n") == 1


def test_a_bench_sheet_filled_in_is_judged(captriage, sheet, tmp_path):
    bench = tmp_path / "bench.csv"
    assert captriage("sheet", sheet, "--out", bench).status == 0
    rows = list(csv.DictReader(io.StringIO(bench.read_text(encoding="ascii"))))
    assert [row["part"] for row in rows] == ["C1", "C2", "C3"]
    assert rows[0]["rating"] == "32 uF 450 V"
    # 0.04 · 32 + 0.3 = 1.58 mA: the published vintage limit, by hand
    assert "leakage at most 1.58 mA at 450 V, 5 min" in rows[0]["description"]
    assert rows[2]["leakage (uA)"] == "no voltage"  # it is bulged
    assert rows[2]["condition"] == "bulged"
    fill = {
        "capacitance (uF)": "36",
        "capacitance frequency (Hz)": "120",
        "ESR (ohm)": "3",
        "ESR frequency (Hz)": "120",
        "leakage (uA)": "400",
        "test voltage (V)": "450",
        "after (min)": "5",
        "temperature (C)": "20",
        "looks": "sound",
    }
    rows[0].update(fill)
    with bench.open("w", encoding="ascii", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)

    found = json.loads(captriage("check", bench, "--format", "json").out)
    assert found["set_aside"] == []  # "no voltage" is no reading, and no riddle
    values = {r["quantity"]: r for r in found["readings"] if r["value"] is not None}
    assert values["capacitance"]["value"] == pytest.approx(36e-6)
    assert values["esr"]["value"] == pytest.approx(3.0)
    assert values["leakage_current"]["value"] == pytest.approx(400e-6)
    assert values["leakage_current"]["soak_s"] == 300.0
    assert values["leakage_current"]["voltage_v"] == 450.0
    judged = json.loads(captriage("judge", bench, "--format", "json").out)["verdicts"]
    assert [row["verdict"] for row in judged] == ["keep", "not judged", "replace"]


def test_a_bench_sheet_keeps_what_is_known_of_every_part(captriage, tmp_path):
    parts = tmp_path / "parts.csv"
    parts.write_text(
        "part,section,rated (µF),rated (V),tolerance,made,idle (years),role,working voltage (V),"
        "polarity,grade,in circuit,reforming,service hours,service temperature (°C)\n"
        "P1,,4.7,450,-10/+50 %,1959,17,reservoir,385,polar,long life,no,rising,900,45\n"
        "P2,a,32,450,±20 %,,3,smoothing,372,polar,,yes,,,\n"
        ",b,16,350,,1960,,coupling,1.5,bipolar,,,not reformed,,\n",
        encoding="utf-8",
    )
    bench = tmp_path / "bench.csv"
    captriage("sheet", parts, "--out", bench)
    before = json.loads(captriage("check", parts, "--format", "json").out)["parts"]
    after = json.loads(captriage("check", bench, "--format", "json").out)["parts"]
    kept = set(before[0]) - {"in_circuit", "note", "source_file", "line", "flag"}
    for old, new in zip(before, after, strict=True):
        for column in kept:
            assert new[column] == pytest.approx(old[column]), column
        assert new["in_circuit"] == ""  # the new readings are taken out of circuit


@pytest.mark.parametrize(("name", "start"), [("a.html", "<!DOCTYPE"), ("a.md", "# Bench sheet")])
def test_a_bench_sheet_to_print_has_every_part_and_the_cautions_first(
    captriage, sheet, tmp_path, name, start
):
    out = tmp_path / name
    assert captriage("sheet", sheet, "--out", out).status == 0
    text = out.read_text(encoding="utf-8")
    assert text.startswith(start)
    assert text.index("Before anything is touched") < text.index("32 µF 450 V")
    assert all(part in text for part in ("C1", "C2", "C3"))


def test_a_bench_sheet_goes_to_the_screen_as_csv(captriage, sheet):
    answer = captriage("sheet", sheet)
    assert answer.out.startswith("part,rating,made,")
    assert answer.out.isascii()


@pytest.mark.parametrize("option", ["--frequency", "--temperature", "--soak"])
@pytest.mark.parametrize("value", ["nan", "inf", "-500", "1e300"])
def test_a_condition_no_bench_has_is_refused(captriage, option, value):
    answer = captriage("expect", "32 µF 450 V", option, value)
    assert answer.status == 2
    assert "is allowed" in answer.err
