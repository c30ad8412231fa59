"""Lines out of bytes: none is late, endless or foreign; of streams, none is old or cut."""

import threading
import time

import pytest

from bench.wires import FLOOD, PtyMeter
from captriage.errors import Garbled, Gone, Silent

QUICK = 0.15


def elapsed(call):
    start = time.monotonic()
    call()
    return time.monotonic() - start


@pytest.mark.parametrize("sent", [b"\xff\xfe\x00+1\n", b"+1\x00\n", b"\xc3\xa9V\n"])
def test_what_is_not_ascii_text_is_garbled(sent, meter, wire_to):
    meter.answers["BAD?"] = sent
    wire = wire_to(meter)
    with pytest.raises(Garbled, match="is not ASCII text; check the baud rate"):
        wire.ask("BAD?")
    assert wire.ask("READ?") == "+1.5E-03"


@pytest.mark.parametrize(
    ("sent", "read"),
    [
        (b"1.2 \xc2\xb5A\n", "1.2 µA"),  # UTF-8
        (b"1.2 \xb5A\n", "1.2 µA"),  # one byte
        (b"4.7 k\xce\xa9\n", "4.7 kΩ"),
        (b"21.5 \xb0C\n", "21.5 °C"),
    ],
)
def test_signs_of_units_are_read_in_either_encoding(sent, read, meter, wire_to):
    meter.answers["UNIT?"] = sent
    assert wire_to(meter).ask("UNIT?") == read


def test_two_lines_at_once_are_no_answer(talker, wire_to):
    talker.answers["TWO?"] = b"+1\n+2\n"
    wire = wire_to(talker)
    with pytest.raises(Garbled, match=r"more than one line in answer to 'TWO\?': '\+1', then"):
        wire.ask("TWO?")
    assert wire.ask("READ?") == "+1.5E-03"


def test_an_answer_without_an_end_is_garbled_and_shown(talker, wire_to):
    talker.answers["PART?"] = b"+1.23"
    wire = wire_to(talker)
    with pytest.raises(Garbled, match=r"5 bytes in answer to 'PART\?' without the line end"):
        wire.ask("PART?")
    assert wire.ask("READ?") == "+1.5E-03"


def test_a_flood_without_an_end_is_given_up_after_4096_bytes(talker, wire_to):
    talker.answers["FLOOD?"] = [FLOOD]
    wire = wire_to(talker, timeout_s=5)
    with pytest.raises(Garbled, match=r"bytes in answer to 'FLOOD.*without the line end"):
        assert elapsed(lambda: wire.ask("FLOOD?")) < 2


def test_a_trickle_does_not_outlast_the_deadline(talker, wire_to):
    talker.answers["DRIP?"] = [0.05, b"1"] * 40
    wire = wire_to(talker)
    start = time.monotonic()
    with pytest.raises(Garbled, match="without the line end"):
        wire.ask("DRIP?")
    assert time.monotonic() - start < 2 * QUICK


def test_blank_lines_without_end_do_not_outlast_the_deadline(talker, wire_to):
    talker.answers["BLANK?"] = [0.01, b"\n"] * 100
    wire = wire_to(talker)
    start = time.monotonic()
    with pytest.raises(Silent):
        wire.ask("BLANK?")
    assert time.monotonic() - start < 2 * QUICK


# Streams


def test_a_stream_is_read_line_by_line_from_a_whole_line_on(tmp_path, wire_to):
    with PtyMeter(tmp_path, stream=lambda n: b"DC %04d mA\r\n" % n) as talker:
        talker.send(b"17 mA\r\n")  # the end of a line that began before
        wire = wire_to(talker, identify=False, asks=False)
        lines = [wire.next_line() for _ in range(5)]
    numbers = [int(line.split()[1]) for line in lines]
    assert lines[0] == f"DC {numbers[0]:04d} mA"
    assert numbers == list(range(numbers[0], numbers[0] + 5))


def test_after_a_pause_a_stream_is_read_from_now_on(talker, wire_to):
    talker.unplug()
    talker.stream = lambda n: b"%d\n" % n
    talker.plug()
    wire = wire_to(talker, identify=False, asks=False)
    before = int(wire.next_line())
    time.sleep(0.8)
    assert int(wire.next_line()) >= before + 20


def test_lines_in_quick_succession_are_all_kept(tmp_path, wire_to):
    with PtyMeter(tmp_path, stream=lambda n: b"%d\n%d\n%d\n" % (3 * n, 3 * n + 1, 3 * n + 2)) as t:
        wire = wire_to(t, identify=False, asks=False)
        numbers = [int(wire.next_line()) for _ in range(12)]
    assert numbers == list(range(numbers[0], numbers[0] + 12))


def test_a_stream_that_stops_is_silent_and_may_go_on(tmp_path, wire_to):
    with PtyMeter(tmp_path) as talker:
        wire = wire_to(talker, identify=False, asks=False)
        with pytest.raises(Silent, match=r"no line came within 0.15 s"):
            wire.next_line()
        timer = threading.Timer(0.05, talker.send, [b"cut\n+1\n"])
        timer.start()
        assert wire.next_line() == "+1"
        timer.join()


def test_a_garbled_line_of_a_stream_does_not_spoil_the_next(tmp_path, wire_to):
    with PtyMeter(tmp_path) as talker:
        wire = wire_to(talker, identify=False, asks=False, timeout_s=1)
        timer = threading.Timer(0.05, talker.send, [b"x\n\xff\xff\n+2\n"])
        timer.start()
        with pytest.raises(Garbled, match="is not ASCII"):
            wire.next_line()
        assert wire.next_line() == "+2"
        timer.join()


def test_a_stream_without_line_ends_is_garbled(tmp_path, wire_to):
    with PtyMeter(tmp_path, stream=lambda _: b"7" * 400, every_s=0.005) as talker:
        wire = wire_to(talker, identify=False, asks=False, read_end="\r", timeout_s=0.5)
        for _ in range(2):
            with pytest.raises(Garbled, match=r"without the line end '\\r'"):
                wire.next_line()


def test_a_stream_that_is_unplugged_is_gone(tmp_path, wire_to):
    with PtyMeter(tmp_path, stream=lambda n: b"%d\n" % n) as talker:
        wire = wire_to(talker, identify=False, asks=False)
        wire.next_line()
        talker.unplug()
        with pytest.raises(Gone, match="was it unplugged"):
            [wire.next_line() for _ in range(1000)]
        talker.plug()


def test_drain_throws_away_what_has_come(tmp_path, wire_to):
    with PtyMeter(tmp_path) as talker:
        wire = wire_to(talker, identify=False, asks=False)
        talker.send(b"1\n2\n")
        time.sleep(0.05)
        wire.drain()
        talker.send(b"3\n")
        assert wire.next_line() == "3"
