"""Trying a meter: what it says, what was understood, and the cause where it fails."""

import errno
import termios
from dataclasses import replace
from pathlib import Path

import pytest

from bench.wires import IDENTITY, PtyMeter, TcpMeter
from captriage.bench import probing
from captriage.bench.clock import SystemClock
from captriage.bench.meter import Meter
from captriage.bench.profiles import load_profile
from captriage.bench.trying import NOT_AS_TOLD, try_meter
from captriage.bench.typed import TypedMeter
from captriage.errors import Gone, ProfileError

LCR = "+9.71600E-05,+8.20000E-01,+0"
AMMETER = {"READ?": "1.5 mA"}


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Short waits: these meters answer at once or never."""
    monkeypatch.setattr(probing, "ASKED_S", 0.08)
    monkeypatch.setattr(probing, "UNASKED_S", 0.15)
    monkeypatch.setattr(probing, "QUIET_S", 0.04)
    monkeypatch.setattr(probing, "RATES", (9600, 19200))


def tried(talker, profile, *, told=None, function=None, **changes):
    """A trial of a meter by a profile with a short time for answers."""
    profile = load_profile(profile)
    changes = {"timeout_s": 0.12, **changes}
    profile = replace(profile, transport=replace(profile.transport, **changes))
    meter = Meter(profile, talker.address, name="meter", clock=SystemClock())
    told = [] if told is None else told
    trial = try_meter(meter, function=function, tell=told.append)
    meter.wire.open()  # it was let go
    meter.wire.close()
    return trial


def test_a_meter_that_fits_is_read_a_few_times():
    with TcpMeter({"*TRG": LCR}) as talker:
        trial = tried(talker, "lcr_scpi_values_status")
    assert (trial.function, trial.identity, trial.problem) == ("impedance", IDENTITY, "")
    assert [answer.raw for answer in trial.answers] == [LCR] * 3
    assert trial.causes == []


def test_a_meter_that_does_not_take_its_settings_is_told_from_one_with_another_wire():
    told = []
    with TcpMeter({"*TRG": LCR, "FREQ?": "1000"}) as talker:
        trial = tried(talker, "lcr_scpi_values_status", told=told)
    assert (trial.answers, told) == ([], [])
    assert trial.problem.startswith(
        "meter: asked for 120 Hz, FREQ? says 1000 Hz; see that its keys"
    )
    assert trial.causes == [NOT_AS_TOLD]


def test_a_function_that_is_named_is_read():
    with TcpMeter({"*TRG": "+9.71600E-05,+3.2E-02,+0"}) as talker:
        trial = tried(talker, "lcr_scpi_values_status", function="impedance_tan_delta")
    assert trial.answers[0].of("tan_delta").value == 0.032


def test_a_function_that_is_not_there_is_refused():
    with TcpMeter() as talker, pytest.raises(ProfileError, match="dc_volts: no function of"):
        tried(talker, "lcr_scpi_values_status", function="dc_volts")


def test_a_meter_that_cannot_be_connected_to_is_gone():
    with TcpMeter() as talker:
        talker.unplug()
        with pytest.raises(Gone, match="connection refused"):
            tried(talker, "lcr_scpi_values_status")
        talker.plug()


def test_a_person_is_tried_without_looking_for_causes():
    meter = TypedMeter(load_profile("typed"), lambda _: "?", name="me", clock=SystemClock())
    trial = try_meter(meter, function="dc_voltage", tell=print)
    assert "asked 5 times" in trial.problem
    assert trial.causes == []


def test_a_class_without_profile_needs_a_function():
    class Tap:
        name = "tap"

    with pytest.raises(ProfileError, match="tap: which function\\? Name one with --function"):
        try_meter(Tap(), tell=print)


# Causes that are found


@pytest.mark.parametrize(("end", "name"), [(b"\r", r"\r"), (b"\r\n", r"\r\n")])
@pytest.mark.parametrize("kind", ["socket", "serial"])
def test_another_line_end_is_found(end, name, kind, tmp_path):
    talker = (
        TcpMeter(AMMETER, end=end) if kind == "socket" else PtyMeter(tmp_path, AMMETER, end=end)
    )
    with talker:
        trial = tried(talker, "serial_query")
    assert "no answer to '*IDN?'" in trial.problem
    assert trial.causes[0] == (
        f"it answers when a question ends in '{name}': set write_end = \"{name}\" in its profile"
    )
    if end == b"\r":
        assert trial.causes[1] == r"""its lines end in '\r': set read_end = "\r" in its profile"""


def test_an_answer_without_a_line_end_is_found():
    with TcpMeter({"*IDN?": IDENTITY.encode()}) as talker:
        trial = tried(talker, "serial_query")
    assert "without the line end" in trial.problem
    assert "captriage meters try" not in trial.problem
    assert trial.causes == ["its lines have no end; '\\n' is expected, and one is needed"]


class RatedMeter(PtyMeter):
    """Understood at one baud rate only."""

    def answer(self, question):
        rate = termios.tcgetattr(self._computer)[4]
        return super().answer(question) if rate == termios.B19200 else [b"\xf8\x00\xc1"]


def test_another_baud_rate_is_found(tmp_path):
    told = []
    with RatedMeter(tmp_path, AMMETER) as talker:
        trial = tried(talker, "serial_query", told=told)
    assert trial.causes == ["it answers at 19200 baud: set baud = 19200 in its profile"]
    assert "trying 19200 baud" in told


def test_an_echo_is_found(tmp_path):
    with PtyMeter(tmp_path, AMMETER, echo=True) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes == ["it sends each question back: set echo = true in its profile"]


def test_an_echo_long_before_its_answer_is_found(tmp_path):
    with PtyMeter(tmp_path, {"*IDN?": [0.07, IDENTITY]}, echo=True) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes == ["it sends each question back: set echo = true in its profile"]


def test_an_echo_that_is_missing_is_found(tmp_path):
    with PtyMeter(tmp_path, AMMETER) as talker:
        trial = tried(talker, "serial_query_echo")
    assert trial.causes == ["it sends no question back: set echo = false in its profile"]


def test_a_loop_is_found(tmp_path):
    with PtyMeter(tmp_path, {"*IDN?": None}, echo=True) as talker:
        trial = tried(talker, "serial_query")
    assert (
        "answers nothing: is that a question it knows, and is anything but a loop"
        in (trial.causes[-1])
    )


def test_an_answer_in_two_lines_is_found():
    with TcpMeter({"*IDN?": b"EXAMPLE\nMETER\n"}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes[0].startswith("it answers in 2 lines ('EXAMPLE', then 'METER'): ask for")


def test_a_slow_meter_is_found():
    with TcpMeter({"*IDN?": [0.4, IDENTITY]}) as talker:
        trial = tried(talker, "serial_query", timeout_s=0.3)
    assert trial.causes == ["it takes 0.4 s to answer: set timeout_s = 1 in its profile"]


def test_a_meter_that_streams_is_found(tmp_path):
    with PtyMeter(tmp_path, AMMETER, stream=lambda n: b"DC %d.5 mA\r\n" % n) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes[-1].startswith("it sends without being asked ('DC ")
    assert trial.causes[-1].endswith("or try it --as serial_stream")


def test_a_stream_with_another_line_end_is_found(tmp_path):
    with PtyMeter(tmp_path, stream=lambda n: b"DC %d.5 mA\r" % n) as talker:
        trial = tried(talker, "serial_stream", timeout_s=0.3)
    assert trial.causes == [r"""its lines end in '\r': set read_end = "\r" in its profile"""]


def test_seven_bits_and_parity_are_found(tmp_path):
    even = bytes(b | (0x80 if b.bit_count() % 2 else 0) for b in b"EXAMPLE,METER\n")
    with PtyMeter(tmp_path, {"*IDN?": even}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes[0].startswith("it sends 7 data bits and a parity bit ('EXAMPLE,METER')")
    assert 'data_bits = 7 and parity = "even"' in trial.causes[0]


def test_a_meter_that_answers_the_second_time_is_tried_once_more():
    answers = iter([None])
    with TcpMeter({"*IDN?": lambda _: next(answers, IDENTITY)}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes == [f"it answers now ({IDENTITY!r}); try once more"]


def test_a_meter_of_another_kind_is_called_so():
    with TcpMeter({"*IDN?": IDENTITY, "READ?": lambda _: None}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.identity == IDENTITY
    assert "it may be another kind of meter" in trial.causes[-1]


def test_a_meter_that_hangs_up_on_the_next_caller_is_told_in_words(monkeypatch):
    def hung_up(*_, **__):
        raise ConnectionResetError(errno.ECONNRESET, "closed by the meter")

    monkeypatch.setattr(probing, "_unasked", hung_up)
    with TcpMeter({"*IDN?": IDENTITY, "READ?": lambda _: None}) as talker:
        trial = tried(talker, "serial_query")
    assert any("the meter closed the connection" in each for each in trial.causes)


def test_another_profile_that_understands_the_reply_is_found():
    with TcpMeter({"*TRG": "+0,+9.71600E-05,+8.20000E-01"}) as talker:
        trial = tried(talker, "lcr_scpi_values_status")
    assert "unknown status" in trial.problem
    assert trial.causes == [
        "'+0,+9.71600E-05,+8.20000E-01' is a reply for another profile: "
        "try it --as lcr_scpi_status_values"
    ]


def test_a_reply_that_no_profile_understands_is_said_to_be_one():
    with TcpMeter({"*TRG": "nine"}) as talker:
        trial = tried(talker, "lcr_scpi_values_status")
    assert trial.causes == [
        "'nine' is no reply of this profile, nor of another here that measures the same: "
        "copy the nearest and write its reply in"
    ]


def own_profile(folder, name, identity):
    source = Path(load_profile("serial_query").path).read_text(encoding="utf-8")
    changed = source.replace("identity = '.+'", f"identity = '{identity}'")
    assert changed != source
    (folder / f"{name}.toml").write_text(changed, encoding="utf-8")


def test_the_profile_for_the_meter_that_answers_is_found(tmp_path, monkeypatch):
    monkeypatch.setenv("CAPTRIAGE_INSTRUMENTS", str(tmp_path))
    own_profile(tmp_path, "other", "EXAMPLE,SUPPLY.*")
    own_profile(tmp_path, "fitting", "EXAMPLE,METER.*")
    (tmp_path / "broken.toml").write_text("schema = 2")
    with TcpMeter(AMMETER) as talker:
        trial = tried(talker, "other")
        assert trial.causes == [
            f"{IDENTITY!r} is another meter than the profile is for: try it --as fitting"
        ]
        (tmp_path / "fitting.toml").unlink()
        assert tried(talker, "other").causes[0].endswith("is for: write a profile for it")


# Causes that cannot be found


def test_a_meter_that_says_nothing_is_asked_every_way(tmp_path):
    told = []
    with PtyMeter(tmp_path, {"*IDN?": None}) as talker:
        trial = tried(talker, "serial_query", told=told)
    assert trial.causes[0].startswith("nothing answers, by any line end or rate: is it on")
    assert {f"trying {rate} baud" for rate in probing.RATES[1:]} <= set(told)
    assert set(talker.heard) <= {"SYST:REM", "*IDN?", "", "*IDN?\r", "SYST:REM\r", "\r"} | {
        line for line in talker.heard if set(line.split("\r")) <= {"", "*IDN?", "SYST:REM"}
    }


def test_a_socket_that_says_nothing_has_no_rates():
    with TcpMeter({"*IDN?": None}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes[0].startswith("nothing answers, by any line end: is it on")


def test_noise_is_said_to_be_no_text(tmp_path):
    with PtyMeter(tmp_path, {"*IDN?": b"\xf8\x00\xc1\n"}) as talker:
        trial = tried(talker, "serial_query")
    assert trial.causes[0].startswith("something comes (b'\\xf8\\x00\\xc1")


def test_a_stream_that_sends_nothing_has_to_be_switched_on(tmp_path):
    with PtyMeter(tmp_path) as talker:
        trial = tried(talker, "serial_stream")
        assert talker.heard == []
    assert trial.causes == [
        "nothing comes: switch on the meter's sending (a key or menu entry on most)"
    ]
