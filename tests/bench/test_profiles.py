"""Finding profiles: the user's own first, then those that ship."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bench.fair import STREAM
from captriage.bench.profiles import load_profile, own_folder, profile_paths
from captriage.errors import ProfileError


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("CAPTRIAGE_INSTRUMENTS", str(tmp_path))
    return tmp_path


def test_own_profiles_come_first_and_win(folder):
    (folder / "multimeter_scpi.toml").write_text(STREAM, "utf-8")
    (folder / "zither.toml").write_text(STREAM, "utf-8")
    names = list(profile_paths())
    assert names[:2] == ["multimeter_scpi", "zither"]
    assert names.count("multimeter_scpi") == 1
    assert load_profile("multimeter_scpi").title == "stream of the fair"
    assert load_profile("supply_scpi").path == str(profile_paths()["supply_scpi"])


def test_a_path_is_loaded_as_it_is_given(folder):
    path = folder / "mine.toml"
    path.write_text(STREAM, "utf-8")
    assert load_profile(path) == load_profile(str(path)) == load_profile("mine")
    assert load_profile(path).path == str(path)


def test_an_unknown_name_is_answered_with_the_nearest(folder):
    said = r"profile: 'multimeter_scip' is not known; multimeter_scpi is probably meant; there are"
    with pytest.raises(ProfileError, match=said) as caught:
        load_profile("multimeter_scip")
    assert str(folder) in str(caught.value)


@pytest.mark.parametrize("name", ["missing.toml", "no/where", Path("missing")])
def test_a_file_that_is_not_there_is_named(folder, monkeypatch, name):
    monkeypatch.chdir(folder)
    said = rf"^{re.escape(str(name))}: cannot be read \(No such file or directory\); name a TOML"
    with pytest.raises(ProfileError, match=said):
        load_profile(name)


def test_a_file_that_is_no_text_is_named(folder):
    (folder / "old.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(ProfileError, match=r"old\.toml: cannot be read \(not UTF-8 text\)"):
        load_profile("old")


def test_a_broken_profile_of_the_user_is_not_passed_over(folder):
    text = STREAM.replace("schema = 1", "schema = 3")
    (folder / "multimeter_scpi.toml").write_text(text, "utf-8")
    with pytest.raises(ProfileError, match=r"multimeter_scpi\.toml: schema: 3; write schema = 1"):
        load_profile("multimeter_scpi")


def test_own_folder_is_that_of_the_platform(monkeypatch, tmp_path):
    monkeypatch.delenv("CAPTRIAGE_INSTRUMENTS", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert own_folder() == tmp_path / "captriage" / "instruments"
    monkeypatch.setenv("XDG_CONFIG_HOME", "relative")  # ignored, as the specification has it
    monkeypatch.setenv("HOME", str(tmp_path))
    assert own_folder() == tmp_path / ".config" / "captriage" / "instruments"
    assert profile_paths()  # a folder that is not there holds none


def test_a_named_folder_must_exist(monkeypatch, tmp_path):
    monkeypatch.setenv("CAPTRIAGE_INSTRUMENTS", str(tmp_path / "gone"))
    with pytest.raises(ProfileError, match=r"^CAPTRIAGE_INSTRUMENTS: '.*gone' is no folder; name"):
        own_folder()
