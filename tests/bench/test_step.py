"""Question and answer in step: a late answer is never taken for the next question's."""

import random
import time

import pytest

from bench.wires import IDENTITY, HislipMeter, PtyMeter, TcpMeter
from bench.wires_vxi11 import Vxi11Meter
from captriage.bench.clock import SystemClock
from captriage.bench.profile import Transport
from captriage.bench.wire import Wire
from captriage.errors import Garbled, Gone, Silent


def elapsed(call):
    start = time.monotonic()
    call()
    return time.monotonic() - start


def test_silence_is_told_after_the_time_and_not_later(meter, wire_to):
    wire = wire_to(meter)
    with pytest.raises(Silent, match=r"dmm .*no answer to 'NONE\?' within 0.15 s"):
        assert 0.1 < elapsed(lambda: wire.ask("NONE?")) < 0.4
    assert wire.ask("READ?") == "+1.5E-03"


def test_a_late_answer_is_not_the_next_questions(meter, wire_to):
    meter.answers["SLOW?"] = [0.25, "+9.9E+00"]
    wire = wire_to(meter)
    with pytest.raises(Silent):
        wire.ask("SLOW?")
    assert wire.ask("READ?") == "+1.5E-03"


def test_a_late_answer_that_has_come_before_the_next_question_is_thrown_away(talker, wire_to):
    talker.answers["SLOW?"] = [0.2, "+9.9E+00"]
    wire = wire_to(talker)
    with pytest.raises(Silent):
        wire.ask("SLOW?")
    time.sleep(0.15)
    assert wire.ask("READ?") == "+1.5E-03"
    assert wire.thrown_away == 1


def test_a_second_answer_to_one_question_is_thrown_away(talker, wire_to):
    talker.answers["TWICE?"] = ["+1", 0.05, "+2"]
    wire = wire_to(talker)
    assert wire.ask("TWICE?") == "+1"
    time.sleep(0.1)
    assert wire.ask("READ?") == "+1.5E-03"
    assert wire.thrown_away == 1


def test_a_meter_that_stays_silent_is_gone(talker, wire_to):
    talker.answers["DEAF?"] = [2.0]
    wire = wire_to(talker)
    with pytest.raises(Silent):
        wire.ask("DEAF?")
    with pytest.raises(Gone, match=r"'EXAMPLE,METER,1,1.0' no longer answers '\*IDN\?'"):
        wire.ask("READ?")
    assert not wire.is_open
    with pytest.raises(Gone, match="not connected; open it again"):
        wire.ask("READ?")


def test_an_interrupted_question_leaves_no_answer_to_the_next(talker, wire_to):
    def interrupt(_):
        raise KeyboardInterrupt

    talker.answers["SLOW?"] = [0.1, "+9.9E+00"]
    wire = wire_to(talker)
    receive = wire._lines.channel.receive
    wire._lines.channel.receive = lambda left: receive(left) if not left else interrupt(left)
    with pytest.raises(KeyboardInterrupt):
        wire.ask("SLOW?")
    wire._lines.channel.receive = receive
    assert wire.ask("READ?") == "+1.5E-03"


def test_an_identity_that_comes_late_is_no_reading(tmp_path, wire_to):
    """The second of two identity questions is answered after the wire was brought into step."""
    with PtyMeter(tmp_path) as talker:
        wire = wire_to(talker)
        talker.answers["READ?"] = [IDENTITY, "+1.5E-03"]
        assert wire.ask("READ?") == "+1.5E-03"
        assert wire.thrown_away == 1


def test_an_identity_that_is_owed_is_waited_for_though_another_came(tmp_path, wire_to):
    with PtyMeter(tmp_path, {"LOST?": []}) as talker:
        wire = wire_to(talker)
        talker.answers["*IDN?"] = [0.4, IDENTITY]
        with pytest.raises(Silent):
            wire.ask("LOST?")
        with pytest.raises(Gone):
            wire.ask("READ?")
        wire.open()
        time.sleep(0.2)  # the first identity has come by now
        wire.resume()  # the second takes longer than an answer may
        assert wire.ask("READ?") == "+1.5E-03"


def test_an_identity_that_was_lost_is_given_up_once(tmp_path, wire_to):
    with PtyMeter(tmp_path, {"LOST?": []}) as talker:
        wire = wire_to(talker)
        talker.answers["*IDN?"] = []
        with pytest.raises(Silent):
            wire.ask("LOST?")
        with pytest.raises(Gone):
            wire.ask("READ?")
        wire.open()
        talker.answers["*IDN?"] = IDENTITY
        assert elapsed(wire.resume) > 0.5
        assert elapsed(wire.resume) < 0.3


def test_another_meter_at_the_same_address_is_refused(talker, wire_to):
    wire = wire_to(talker)
    talker.unplug()
    talker.answers["*IDN?"] = "EXAMPLE,METER,2,1.0"
    talker.plug()
    wire.open()
    with pytest.raises(Gone, match=r"last that came is 'EXAMPLE,METER,2,1.0'.*no other meter"):
        wire.resume()


def test_a_meter_that_is_not_of_the_profile_is_refused(talker, wire_to):
    wire = wire_to(talker, identify=False)
    with pytest.raises(Gone, match=r"answers there, and the profile is for 'SUPPLY.\*'"):
        wire.identify("*IDN?", "SUPPLY.*")


def test_a_line_of_before_is_not_taken_for_the_identity(tmp_path, wire_to):
    with PtyMeter(tmp_path) as talker:
        first = iter([["+9.9E+00", 0.05, IDENTITY]])
        talker.answers["*IDN?"] = lambda _: next(first, IDENTITY)
        wire = wire_to(talker, identify=False)
        first = iter(["+9.9E+00\n" + IDENTITY])  # in one write: the second cannot come later
        with pytest.raises(Garbled, match="more than one line"):
            wire.identify("*IDN?", ".+")
        first = iter([["+9.9E+00"]])
        assert wire.identify("*IDN?", ".+") == IDENTITY


def test_an_identity_that_changes_is_none(talker, wire_to):
    count = iter(range(100))
    talker.answers["*IDN?"] = lambda _: f"EXAMPLE,{next(count)}"
    wire = wire_to(talker, identify=False)
    with pytest.raises(Garbled, match=r"its answers to '\*IDN\?' change: 'EXAMPLE,2'"):
        wire.identify("*IDN?", ".+")


# A meter that cannot tell who it is


def test_without_identity_a_socket_is_connected_anew(wire_to):
    with TcpMeter({"SLOW?": [0.25, "+9.9E+00"]}) as talker:
        wire = wire_to(talker, identify=False)
        with pytest.raises(Silent):
            wire.ask("SLOW?")
        assert wire.ask("READ?") == "+1.5E-03"


def test_without_identity_a_serial_line_is_left_until_quiet(tmp_path, wire_to):
    with PtyMeter(tmp_path, {"SLOW?": [0.25, "+9.9E+00"]}) as talker:
        wire = wire_to(talker, identify=False)
        with pytest.raises(Silent):
            wire.ask("SLOW?")
        assert wire.ask("READ?") == "+1.5E-03"
        assert wire.thrown_away == 1


def test_without_identity_a_message_connection_is_cleared(wire_to):
    with HislipMeter({"SLOW?": [0.25, "+9.9E+00"]}) as meter:
        wire = wire_to(meter, identify=False)
        with pytest.raises(Silent):
            wire.ask("SLOW?")
        assert wire.ask("READ?") == "+1.5E-03"


def test_a_meter_that_streams_is_no_meter_that_is_asked(tmp_path, wire_to):
    with PtyMeter(tmp_path, stream=lambda n: b"DC %d mA\n" % n) as talker:
        wire = wire_to(talker, identify=False)
        wire.ask("READ?")  # it cannot be known yet that this is no answer
        time.sleep(0.05)
        with pytest.raises(Gone, match=r"sends without being asked \('DC .*asks = false"):
            wire.ask("READ?")


# Never a wrong answer

KINDS = {
    "socket": lambda _: TcpMeter(),
    "serial": PtyMeter,
    "hislip": lambda _: HislipMeter(),
    "vxi11": lambda _: Vxi11Meter(),
}


def numbered(rng, *, slow):
    """A meter whose every answer carries the number of its question, at any delay."""

    def answer(question):
        number = question.removeprefix("READ ").removesuffix("?")
        if rng.random() < 0.1:
            return []  # lost
        wait = rng.random() * slow if rng.random() < 0.2 else 0.0
        return [wait, f"R{number}"]

    def identity(_):
        return [rng.random() * slow if rng.random() < 0.3 else 0.0, IDENTITY]

    class Answers(dict):
        def get(self, question, default=None):
            if question.startswith("READ "):
                return answer
            return identity if question == "*IDN?" else default

    return Answers()


def wrong_answers(wire, count):
    """How many answers of as many questions carried another question's number; and were right."""
    wrong = right = 0
    for number in range(count):
        try:
            got = wire.ask(f"READ {number}?")
        except (Silent, Garbled):
            continue
        except Gone:
            while not wire.is_open:
                try:
                    wire.open()
                    wire.resume()
                except Gone:
                    pass
            continue
        if got == f"R{number}":
            right += 1
        else:
            wrong += 1
    return wrong, right


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("kind", list(KINDS))
def test_no_answer_is_taken_for_another_questions(kind, seed, tmp_path):
    assert_none_wrong(kind, seed, tmp_path, count=120)


@pytest.mark.ensemble
@pytest.mark.parametrize("seed", range(100, 104))
@pytest.mark.parametrize("kind", list(KINDS))
def test_no_answer_is_ever_taken_for_another_questions(kind, seed, tmp_path):
    assert_none_wrong(kind, seed, tmp_path, count=1500)


def assert_none_wrong(kind, seed, tmp_path, count):
    timeout_s = 0.01
    with KINDS[kind](tmp_path) as talker:
        wire = Wire(talker.address, Transport(timeout_s=timeout_s), clock=SystemClock())
        wire.open()
        while True:
            try:
                wire.identify("*IDN?", "EXAMPLE.*")
                break
            except (Silent, Garbled):
                continue
        talker.answers = numbered(random.Random(seed), slow=3 * timeout_s)
        wrong, right = wrong_answers(wire, count)
        wire.close()
    assert wrong == 0
    assert right > 0.2 * count
