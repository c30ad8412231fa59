"""What is no file is refused, before anything waits for it."""

import os
import socket
from pathlib import Path

import pytest

from captriage.plain_files import LONGEST_TEXT, other_than_file, short_text


def test_a_file_is_a_file_and_nothing_is_nothing(tmp_path):
    (tmp_path / "file").touch()
    (tmp_path / "link").symlink_to("file")
    for name in ("file", "link", "none"):
        assert other_than_file(tmp_path / name) == ""


def test_what_else_there_is_is_named(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "link").symlink_to("pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "socket"))
        found = {name: other_than_file(tmp_path / name) for name in ("pipe", "link", "socket")}
    assert found == {"pipe": "a pipe", "link": "a pipe", "socket": "a socket"}
    assert other_than_file(tmp_path) == "a folder"
    assert other_than_file(Path("/dev/null")) == "a device"


def test_a_small_file_is_read_and_a_large_one_refused(tmp_path):
    path = tmp_path / "text"
    path.write_text("4.7 µF", encoding="utf-8")
    assert short_text(path) == "4.7 µF"
    path.write_bytes(b"x" * LONGEST_TEXT)
    assert len(short_text(path)) == LONGEST_TEXT
    path.write_bytes(b"x" * (LONGEST_TEXT + 1))
    with pytest.raises(OSError, match="more than 1000000 bytes"):
        short_text(path)


def test_what_is_no_file_cannot_be_read():
    with pytest.raises(OSError, match="it is a device, not a file"):
        short_text(Path("/dev/zero"))
