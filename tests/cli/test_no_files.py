"""Each file that a command reads may be named wrongly: a pipe, a device, a folder, a socket."""

import os
import signal
import socket

import pytest

PLACES = {
    "sheet to judge": ("judge", "{}"),
    "sheet to check": ("check", "{}"),
    "parts to make a bench sheet of": ("sheet", "{}"),
    "policy": ("judge", "good.csv", "--policy", "{}"),
    "policy of the rules": ("rules", "--policy", "{}"),
    "book to list": ("book", "list", "--book", "{}"),
    "book to begin": ("book", "new", "rack", "--book", "{}"),
    "book to judge": ("judge", "--job", "rack", "--book", "{}"),
    "sheet to import": ("book", "import", "{}", "--job", "rack", "--book", "good.book"),
    "profile to prove": ("meters", "prove", "{}"),
    "profile to try": ("meters", "try", "TCPIP::127.0.0.1::1::SOCKET", "--as", "{}"),
    "bench file": ("log", "--job", "rack", "--book", "good.book", "--bench", "{}"),
    "parts to log": (
        *("log", "--job", "new", "--book", "good.book", "--parts", "{}", "--meter", "keyboard"),
    ),
    "bench file of a rehearsal": ("rehearse", "--out", "{}"),
}


@pytest.fixture
def wrong(request, tmp_path):
    """Something of this kind, and its name."""
    path = tmp_path / "wrong.toml"
    if request.param == "folder":
        path.mkdir()
    elif request.param == "pipe":
        os.mkfifo(path)
    elif request.param == "device":
        path.symlink_to("/dev/zero")
    elif request.param == "socket":
        with socket.socket(socket.AF_UNIX) as listening:
            listening.bind(str(path))
            yield path
        return
    yield path


@pytest.fixture
def in_time():
    """Whatever waits is interrupted."""

    def late(*_):
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(20)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("wrong", ["pipe", "device", "folder", "socket"], indirect=True)
def test_what_is_no_file_is_refused_in_words(
    captriage, good_sheet, tmp_path, monkeypatch, in_time, wrong, place
):
    del in_time
    monkeypatch.chdir(tmp_path)
    assert good_sheet.name == "good.csv"
    assert captriage("book", "new", "rack", "--book", "good.book").status == 0
    answer = captriage(*(word.format(wrong) for word in PLACES[place]))
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.count("\n") == 1
    assert "wrong.toml" in answer.err
    assert wrong.exists()
