"""The wire: one question, one answer; echo, pace and threads; over real sockets and terminals."""

import threading

import pytest

from bench.wires import HislipMeter, PtyMeter, TcpMeter
from captriage.errors import Garbled, ProfileError, Silent


def test_a_question_gets_its_answer(meter, wire_to):
    wire = wire_to(meter)
    assert wire.ask("READ?") == "+1.5E-03"
    assert wire.thrown_away == 0


def test_a_command_is_heard_and_not_answered(meter, wire_to):
    wire = wire_to(meter)
    wire.tell("FREQ 120")
    assert wire.ask("READ?") == "+1.5E-03"
    assert meter.heard[-2:] == ["FREQ 120", "READ?"]


def test_a_carriage_return_before_the_end_is_dropped(talker, wire_to):
    talker.answers["READ?"] = b"+1.5E-03\r\n"
    assert wire_to(talker).ask("READ?") == "+1.5E-03"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_are_the_profiles(end, tmp_path, wire_to):
    with TcpMeter(end=end.encode()) as talker:
        assert wire_to(talker, read_end=end, write_end=end).ask("READ?") == "+1.5E-03"
    with PtyMeter(tmp_path, end=end.encode()) as talker:
        assert wire_to(talker, read_end=end, write_end=end).ask("READ?") == "+1.5E-03"


def test_an_answer_that_comes_in_pieces_is_one(talker, wire_to):
    talker.answers["READ?"] = [b"+1.", 0.02, b"5E-", 0.02, b"03\n"]
    assert wire_to(talker).ask("READ?") == "+1.5E-03"


def test_a_message_without_a_line_end_is_a_line_where_messages_have_ends(wire_to):
    with HislipMeter({"READ?": b"+1.5E-03"}) as meter:
        assert wire_to(meter).ask("READ?") == "+1.5E-03"


def test_blank_lines_are_no_answer(talker, wire_to):
    talker.answers["READ?"] = b"\r\n \n+1.5E-03\n\r\n"
    wire = wire_to(talker)
    assert wire.ask("READ?") == "+1.5E-03"
    assert wire.ask("READ?") == "+1.5E-03"


@pytest.mark.parametrize("command", ["", " ", "READ?\n*RST", "VOLT 5 µV"])
def test_a_command_is_one_line_of_ascii(command, wire_to):
    with TcpMeter() as talker, pytest.raises(ProfileError, match="one line of ASCII text"):
        wire_to(talker).ask(command)


# Echo


def test_an_echo_is_read_before_the_answer(tmp_path, wire_to):
    with PtyMeter(tmp_path, echo=True) as talker:
        wire = wire_to(talker, echo=True)
        wire.tell("FREQ 120")
        assert wire.ask("READ?") == "+1.5E-03"
        assert wire.thrown_away == 0


def test_an_echo_that_is_not_expected_is_no_answer(talker, wire_to):
    talker.echo = True
    wire = wire_to(talker, identify=False)
    talker.answers["READ?"] = [0.03, "+1"]
    with pytest.raises(Garbled, match=r"the meter echoes.*set echo = true"):
        wire.ask("READ?")


def test_an_echo_of_another_text_is_garbled(talker, wire_to):
    wire = wire_to(talker, identify=False, echo=True)
    with pytest.raises(Garbled, match=r"came where the echo of 'READ\?' was due; set echo = false"):
        wire.ask("READ?")
    talker.answers["FREQ 120"] = "OK"
    with pytest.raises(Garbled, match="'OK' came where the echo of 'FREQ 120' was due"):
        wire.tell("FREQ 120")


def test_a_late_answer_with_echo_is_not_the_next_questions(tmp_path, wire_to):
    with PtyMeter(tmp_path, {"SLOW?": [0.25, "+9.9E+00"]}, echo=True) as talker:
        wire = wire_to(talker, echo=True)
        with pytest.raises(Silent):
            wire.ask("SLOW?")
        assert wire.ask("READ?") == "+1.5E-03"


# Threads and pace


def test_threads_share_a_wire_without_mixing_answers(wire_to):
    with TcpMeter({f"Q{i}?": f"A{i}" for i in range(4)}) as talker:
        wire = wire_to(talker, timeout_s=5)
        wrong = []

        def ask_often(i):
            wrong.extend(a for _ in range(200) if (a := wire.ask(f"Q{i}?")) != f"A{i}")

        threads = [threading.Thread(target=ask_often, args=(i,)) for i in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert wrong == []


class Paced:
    """A clock that only moves when it is waited on."""

    def __init__(self):
        self.now, self.waits = 100.0, []

    def monotonic(self):
        return self.now

    def sleep(self, seconds):
        if seconds > 0:
            self.waits.append(seconds)
            self.now += seconds


def test_messages_keep_the_pace_of_the_profile(wire_to):
    clock = Paced()
    with TcpMeter() as talker:
        wire = wire_to(talker, identify=False, clock=clock, pause_s=0.5)
        wire.tell("FREQ 120")
        clock.now += 0.2
        wire.tell("VOLT 0.5")
        wire.ask("READ?")
        clock.now += 3
        wire.ask("READ?")
    assert clock.waits == pytest.approx([0.3, 0.5])
