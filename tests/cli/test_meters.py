"""captriage meters: list, scan, try, prove; over real wires."""

import io
import json
import signal
import socket
import subprocess
import sys
from importlib.metadata import EntryPoint

import pytest

from bench.wires import IDENTITY, PtyMeter, TcpMeter
from captriage.bench import scan
from captriage.bench.profiles import shipped_folder
from captriage.bench.scan import Found

LCR = "+9.71600E-05,+8.20000E-01,+0"


@pytest.fixture(autouse=True)
def own_folders(tmp_path, monkeypatch):
    """No profiles and no locks but the test's own."""
    for name in ("own", "run"):
        (tmp_path / name).mkdir()
    monkeypatch.setenv("CAPTRIAGE_INSTRUMENTS", str(tmp_path / "own"))
    monkeypatch.setenv("CAPTRIAGE_LOCKS", str(tmp_path / "run"))


def test_meters_lists_the_profiles(captriage):
    answer = captriage("meters")
    assert (answer.status, answer.err) == (0, "")
    for words in ("LCR bridges", "lcr_scpi_values_status", "Supplies", "By hand", "typed"):
        assert words in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80


def test_the_list_as_json_says_what_each_measures(captriage):
    rows = {row["name"]: row for row in json.loads(captriage("meters", "--format", "json").out)}
    bridge = rows["lcr_scpi_values_status"]
    assert bridge["functions"]["impedance"] == ["capacitance", "esr"]
    assert (bridge["kind"], bridge["source"], bridge["problem"]) == ("lcr bridge", "", "")


def test_a_profile_that_cannot_be_used_is_listed_with_its_reason(captriage, tmp_path):
    (tmp_path / "own" / "broken.toml").write_text("schema = 1\n")
    answer = captriage("meters")
    assert answer.status == 1
    assert "Cannot be used" in answer.out
    assert "missing; this key has no default: write it" in " ".join(answer.out.split())


def test_a_profile_of_the_users_own_says_where_it_lies(captriage, tmp_path):
    text = (shipped_folder() / "typed.toml").read_text(encoding="utf-8")
    (tmp_path / "own" / "my_hand.toml").write_text(text, encoding="utf-8")
    rows = {row["name"]: row for row in json.loads(captriage("meters", "--format", "json").out)}
    assert rows["my_hand"]["source"] == str(tmp_path / "own" / "my_hand.toml")
    assert "from " in captriage("meters").out


def test_a_class_of_another_package_is_listed(captriage, monkeypatch):
    point = EntryPoint("tap", "tap_meter:TapMeter", "captriage.meters")
    monkeypatch.setattr("captriage.bench.plugins.meter_plugins", lambda: {"tap": point})
    answer = captriage("meters")
    assert "Classes of other packages" in answer.out
    assert "from tap_meter:TapMeter" in answer.out


# Scan


def test_a_scan_says_first_what_it_sends(captriage, monkeypatch):
    asked = []

    def found(*, clock, backend, ask):
        del clock
        asked.append((backend, ask))
        yield Found("ASRL/dev/ttyUSB0::INSTR", "serial port", "EXAMPLE" if ask else "")
        yield Found("", "USB: no way to USB")

    monkeypatch.setattr(scan, "scan", found)
    answer = captriage("meters", "--scan")
    assert answer.status == 0
    assert answer.out.index("broadcast (UDP port 111") < answer.out.index("ASRL/dev/ttyUSB0")
    assert "- USB: no way to USB" in answer.out
    assert "*IDN?" not in answer.out
    answer = captriage("meters", "--scan", "--ask", "--backend", "@other")
    assert "is then asked *IDN?" in answer.out
    assert "serial port: EXAMPLE" in answer.out
    assert asked == [("@py", False), ("@other", True)]


def test_a_scan_that_finds_nothing_needs_attention(captriage, monkeypatch):
    monkeypatch.setattr(scan, "scan", lambda **_: iter([]))
    answer = captriage("meters", "--scan")
    assert answer.status == 1
    assert "Nothing was found." in answer.out


def test_asking_goes_with_a_scan(captriage):
    answer = captriage("meters", "--ask")
    assert (answer.status, answer.out) == (2, "")
    assert "--ask goes with --scan" in answer.err


# Try


def test_try_shows_replies_and_what_was_understood(captriage):
    with TcpMeter({"*TRG": LCR}) as talker:
        answer = captriage(
            "meters", "try", talker.address, "--as", "lcr_scpi_values_status", "--readings", 2
        )
    assert (answer.status, answer.err) == (0, "")
    assert answer.out.count(f"reply       {LCR}") == 2
    assert f"identity    {IDENTITY}" in answer.out
    assert "understood  capacitance 97.16 µF ± 0.56 µF" in answer.out
    # By hand: 2/√3 · (1 % of 0.82 Ω + 2 mΩ), and in quadrature 2/√3 · 0.005 · 13.65 Ω of |X|
    assert "understood  ESR 0.82 Ω ± 0.08 Ω" in answer.out
    assert "Hold this against the meter's own display" in answer.out


def test_try_shows_why_there_is_no_number(captriage):
    with TcpMeter({"*TRG": "+9.9E+37,+9.9E+37,+1"}) as talker:
        answer = captriage(
            "meters", "try", talker.address, "--as", "lcr_scpi_values_status", "--readings", 1
        )
    assert "capacitance: no number (over range: status +1, overload)" in answer.out


def test_try_says_what_to_do_where_it_fails(captriage, tmp_path):
    with PtyMeter(tmp_path, {"READ?": "1.5 mA"}, echo=True) as talker:
        answer = captriage("meters", "try", talker.address, "--as", "serial_query")
    assert answer.status == 1
    assert "failed      meter (ASRL" in answer.out
    assert "do this     it sends each question back: set echo = true" in answer.out
    assert "looking for the cause" in answer.err


def test_try_counts_what_was_not_believed(captriage, tmp_path):
    text = (shipped_folder() / "lcr_scpi_values_status.toml").read_text(encoding="utf-8")
    path = tmp_path / "paced.toml"
    path.write_text(text.replace("timeout_s", "pause_s = 0.05\ntimeout_s"), encoding="utf-8")
    with TcpMeter({"*TRG": LCR, "FREQ 120": "what is this?"}) as talker:
        answer = captriage("meters", "try", talker.address, "--as", path, "--readings", "1")
    assert answer.status == 0
    assert "notice      lines that came late or unasked, and were not believed: 1" in answer.out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["TCPIP::127.0.0.1::1::SOCKET", "--as", "multimeter_scpi"], "connection refused"),
        (["TCPIP::127.0.0.1::1::SOCKET", "--as", "none"], "'none' is not known"),
        (["keyboard", "--as", "typed", "--function", "none"], "no function of typed"),
        (["TCPIP::127.0.0.1::1::SOCKET"], "Missing option '--as'"),
        (["keyboard", "--as", "typed", "--readings", "0"], "--readings"),
    ],
)
def test_what_cannot_be_tried_is_said_in_one_line(arguments, message, captriage):
    answer = captriage("meters", "try", *arguments)
    assert answer.status == 2
    assert message in answer.err
    assert answer.err.count("\n") == 1


def test_a_person_is_tried_at_the_keyboard(captriage, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO("390 V\n0.1 V\n"))
    answer = captriage(
        "meters", "try", "keyboard", "--as", "typed", "--function", "dc_voltage", "--readings", 3
    )
    assert answer.status == 1
    assert "voltage 390 V (uncertainty not stated)" in answer.out
    assert "the input has ended" in answer.out


# Prove


def test_a_profile_that_holds_is_proved(captriage):
    path = shipped_folder() / "lcr_scpi_values_status.toml"
    answer = captriage("meters", "prove", path)
    assert answer.status == 0
    assert "lcr_scpi_values_status.toml: all of it holds." in " ".join(answer.out.split())
    assert "gives no number, as it should be (no reading: status" in answer.out


def test_a_profile_that_does_not_hold_is_told_why(captriage, tmp_path):
    text = (shipped_folder() / "lcr_scpi_values_status.toml").read_text(encoding="utf-8")
    path = tmp_path / "wrong.toml"
    path.write_text(text.replace("capacitance = 9.716e-5", "capacitance = 9.7e-5"))
    answer = captriage("meters", "prove", path)
    assert answer.status == 1
    assert "wrong.toml: does not hold." in answer.out
    assert "9.716e-05 is understood" in answer.out


def test_a_profile_that_cannot_be_read_is_said(captriage, tmp_path):
    answer = captriage("meters", "prove", tmp_path / "none.toml")
    assert answer.status == 2
    assert "none.toml: cannot be read" in answer.err


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT])
def test_a_trial_that_a_signal_ends_makes_the_meter_safe(number):
    with socket.create_server(("127.0.0.1", 0)) as listening:
        address = f"TCPIP::127.0.0.1::{listening.getsockname()[1]}::SOCKET"
        command = ["-m", "captriage", "meters", "try", address, "--as", "lcr_scpi_values_status"]
        running = subprocess.Popen([sys.executable, *command], stderr=subprocess.PIPE, text=True)
        try:
            meter, _ = listening.accept()
            meter.settimeout(30)
            with meter, meter.makefile("r") as told:
                asked = ""
                while asked != "*TRG\n" and (asked == "*IDN?\n" or not asked.endswith("?\n")):
                    asked = told.readline()
                    assert asked
                    if asked == "*IDN?\n":  # and no other question
                        meter.sendall(b"EXAMPLE,BRIDGE,0,1.0\n")
                running.send_signal(number)
                _, said = running.communicate(timeout=20)
                assert told.read().splitlines()[-1] == "BIAS:STAT 0"
        finally:
            running.kill()
            running.communicate()
    assert (running.returncode, said) == (130, "captriage: stopped\n")
