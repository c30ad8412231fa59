"""One owner per instrument, whatever its address is spelt like, until the process ends."""

import json
import os
import signal
import subprocess
import sys
import threading
import time

import pytest

from captriage.bench import owner
from captriage.errors import Gone

ADDRESS = "TCPIP::127.0.0.1::5025::SOCKET"
HOLD = """
import sys, time
from captriage.bench import owner
sys.argv = ["/usr/bin/captriage", "log", "--book", "x"]
held = owner.take(sys.stdin.readline().strip())
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture
def holder():
    """Another process that has the instrument at an address."""
    started = []

    def hold(address):
        process = subprocess.Popen(
            [sys.executable, "-c", HOLD], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        started.append(process)
        process.stdin.write(f"{address}\n")
        process.stdin.flush()
        assert process.stdout.readline() == "held\n"
        return process

    yield hold
    for process in started:
        process.kill()
        process.communicate()


def test_the_second_of_two_processes_is_told_which_has_it(holder):
    process = holder(ADDRESS)
    message = (
        rf"^bridge: in use by captriage log \(process {process.pid}, since \d\d:\d\d\); "
        "end that first$"
    )
    with pytest.raises(Gone, match=message):
        owner.take(ADDRESS, where="bridge")


def test_a_process_that_is_killed_has_it_no_longer(holder):
    process = holder(ADDRESS)
    process.send_signal(signal.SIGKILL)
    process.wait()
    owner.take(ADDRESS).release()


def test_the_second_part_of_one_process_is_refused_too():
    mine = owner.take(ADDRESS)
    with pytest.raises(Gone, match=f"process {os.getpid()}"):
        owner.take(ADDRESS)
    mine.release()
    mine.release()
    owner.take(ADDRESS).release()


def test_what_is_let_go_is_free_though_a_child_has_it_open():
    mine = owner.take(ADDRESS)
    child = os.fork()
    if not child:
        time.sleep(60)
        os._exit(0)
    try:
        mine.release()
        owner.take(ADDRESS).release()
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


@pytest.mark.parametrize("written", ["", "{", "[1]", '{"pid": "x", "command": 1}'])
def test_a_card_that_cannot_be_read_is_somebody(written):
    mine = owner.take(ADDRESS)
    for card in owner.shared_folder().iterdir():
        card.write_text(written)
    with pytest.raises(Gone, match="in use by another program"):
        owner.take(ADDRESS)
    mine.release()


def test_a_card_cannot_play_with_the_terminal():
    mine = owner.take(ADDRESS)
    for card in owner.shared_folder().iterdir():
        card.write_text(json.dumps({"command": "\x1b[2Jx\n", "pid": 7, "since": "12:00"}))
    with pytest.raises(Gone, match=r"in use by \[2Jx \(process 7, since 12:00\)"):
        owner.take(ADDRESS)
    mine.release()


def test_what_was_taken_of_one_that_is_in_use_is_let_go(monkeypatch):
    monkeypatch.setattr(owner, "things_at", lambda address: address.split())
    mine = owner.take("b")
    with pytest.raises(Gone, match="in use by"):
        owner.take("a b")
    owner.take("a").release()
    mine.release()


def test_all_users_of_the_computer_share_a_sticky_folder_of_the_system(monkeypatch, tmp_path):
    monkeypatch.delenv(owner.FOLDER_VARIABLE)
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    found = owner.shared_folder()
    assert str(found) in owner.SHARED
    assert found.stat().st_mode & 0o1777 == 0o1777
    monkeypatch.setattr(owner, "SHARED", (str(tmp_path / "none"), str(tmp_path)))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "mine"))
    assert owner.shared_folder() == tmp_path / "mine"


def test_a_folder_that_is_none_is_said(monkeypatch, tmp_path):
    monkeypatch.setenv(owner.FOLDER_VARIABLE, str(tmp_path / "none"))
    with pytest.raises(
        Gone, match=r"CAPTRIAGE_LOCKS: '.*none' is no folder; name one, or unset it"
    ):
        owner.take(ADDRESS)


def lock_file():
    mine = owner.take(ADDRESS)
    (found,) = owner.shared_folder().iterdir()
    mine.release()
    assert not found.exists()
    return found


def test_another_user_may_lock_what_this_one_made():
    before = os.umask(0o077)
    mine = owner.take(ADDRESS)
    os.umask(before)
    (found,) = owner.shared_folder().iterdir()
    assert found.stat().st_mode & 0o777 == 0o666
    mine.release()


def link(path, precious):
    path.symlink_to(precious)


def second_name(path, precious):
    path.hardlink_to(precious)


def pipe(path, _precious):
    os.mkfifo(path)


def folder(path, _precious):
    path.mkdir()


@pytest.mark.parametrize("laid", [link, second_name, pipe, folder])
def test_what_another_laid_in_its_place_is_not_written_to(laid, tmp_path):
    path = lock_file()
    precious = tmp_path / "precious"
    precious.write_text("mine")
    laid(path, precious)
    with pytest.raises(Gone, match=r"cannot be locked in .*; free that folder, or set CAPTRIAGE"):
        owner.take(ADDRESS)
    assert precious.read_text() == "mine"


def test_a_lock_file_that_is_tidied_away_and_made_anew_is_not_held_twice(monkeypatch):
    path = lock_file()
    honest = owner._lock

    def tidied(file):
        honest(file)
        path.unlink(missing_ok=True)
        path.touch()

    monkeypatch.setattr(owner, "_lock", tidied)
    with pytest.raises(Gone, match="in use by another program"):
        owner.take(ADDRESS)


def test_of_many_who_take_and_let_go_one_has_it_at_a_time():
    inside, seen = [], []

    def take_often():
        for _ in range(200):
            try:
                mine = owner.take(ADDRESS)
            except Gone:
                continue
            inside.append(1)
            seen.append(len(inside))
            inside.pop()
            mine.release()

    threads = [threading.Thread(target=take_often) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(seen) > 100
    assert set(seen) == {1}
    assert list(owner.shared_folder().iterdir()) == []


def test_a_lock_that_cannot_be_made_is_said(monkeypatch):
    monkeypatch.setattr(os, "fchmod", refuse)
    with pytest.raises(Gone, match=r"cannot be locked in .*No space left.*; free that folder"):
        owner.take(ADDRESS)


def refuse(*_):
    raise OSError(28, "No space left on device")
