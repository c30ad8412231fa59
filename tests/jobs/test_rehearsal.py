"""The rehearsal as a job: its bench file, what is typed, and a tidy end."""

from __future__ import annotations

import os
import queue
import re
import shlex
import threading
import tomllib
from pathlib import Path

import pytest

from captriage.bench.rehearsal.bench import RehearsalBench
from captriage.bench.rehearsal.drawer import REFORMING, SPARES, demo_drawer, demo_file
from captriage.errors import CapTriageError, MeterError
from captriage.jobs import rehearsal
from captriage.jobs.rehearsal_welcome import commands, welcome

README = Path(__file__).parents[2] / "README.md"


@pytest.fixture
def bench():
    with RehearsalBench(automatic=False, pause_s=0.01) as running:
        yield running


@pytest.fixture
def typing(monkeypatch):
    """Standard input that a test types into."""
    reads, writes = os.pipe()
    with os.fdopen(reads) as stdin, os.fdopen(writes, "wb", buffering=0) as typist:
        monkeypatch.setattr("sys.stdin", stdin)
        yield typist


def attended(bench, typist, *, lines=b"", until_done=False) -> list[str]:
    """What is told while these lines are typed, up to the end of the rehearsal."""
    told: list[str] = []
    said: queue.SimpleQueue[str] = queue.SimpleQueue()
    said.put("D1 is in the clips")
    typist.write(lines)
    rehearsal.attend(bench, said, tell=told.append, until_done=until_done)
    return told


def test_bench_file_leads_to_every_meter_and_to_the_hand(bench, tmp_path):
    with rehearsal.bench_file(bench, tmp_path / "r.toml") as path:
        tables = tomllib.loads(path.read_text("utf-8"))
    assert tables.pop("hand") == {"address": bench.control_address}
    assert set(tables) == set(bench.ports)
    for name, table in tables.items():
        assert table == {"address": bench.addresses[name], "profile": bench.profiles[name]}


def test_bench_file_is_gone_afterwards(bench, tmp_path):
    path = tmp_path / "r.toml"
    with rehearsal.bench_file(bench, path):
        assert path.exists()
    assert not path.exists()


def test_bench_file_that_someone_changed_or_removed_is_left_alone(bench, tmp_path):
    path = tmp_path / "r.toml"
    with rehearsal.bench_file(bench, path):
        path.write_text("# mine now\n", "utf-8")
    assert path.read_text("utf-8") == "# mine now\n"
    path.unlink()
    with rehearsal.bench_file(bench, path):
        path.unlink()


def test_file_that_no_rehearsal_wrote_is_not_overwritten(tmp_path):
    path = tmp_path / "bench.toml"
    for theirs in (b"[bridge]\n", b"\xff\xfe", b"= no TOML"):
        path.write_bytes(theirs)
        with pytest.raises(CapTriageError, match=r"bench\.toml: is there already, and no rehear"):
            rehearsal.refuse_taken(path)
        assert path.read_bytes() == theirs


def test_file_of_a_rehearsal_that_runs_is_not_overwritten(bench, tmp_path):
    path = tmp_path / "r.toml"
    message = r"r\.toml: belongs to a rehearsal that is running; stop it, or name another"
    with rehearsal.bench_file(bench, path), pytest.raises(CapTriageError, match=message):
        rehearsal.refuse_taken(path)


@pytest.mark.parametrize("address", ["127.0.0.1:9", "nowhere", ""])
def test_file_of_a_rehearsal_that_was_killed_is_overwritten(address, tmp_path):
    path = tmp_path / "r.toml"
    path.write_text(f'{rehearsal.MARK}\n[hand]\naddress = "{address}"\n', "utf-8")
    rehearsal.refuse_taken(path)


def test_lines_that_are_typed_are_obeyed_and_answered(bench, typing):
    told = attended(bench, typing, lines=b"clip D3\njump\n\nsta" + b"te\nstop\n")
    assert told[:2] == ["D1 is in the clips", "D3 is in the clips"]
    assert told[2].startswith("refused: rehearsal: 'jump' is no command")
    assert told[3].startswith("clips: D3 (0.00 V)")
    assert told[4] == "jig: empty"  # the state, a line each
    assert told[-1] == "stopping"


def test_help_is_a_line_for_each_command(bench, typing):
    told = attended(bench, typing, lines=b"help\nstop\n")
    assert len(told) == 1 + len(bench.commands) + 1
    assert all(len(line) <= 80 for line in told)


def test_end_of_what_is_typed_is_not_the_end_of_the_rehearsal(bench, typing):
    stopper = threading.Timer(0.5, bench.stopped.set)
    stopper.start()
    typing.write(b"clip D3")
    typing.close()
    assert attended_without_typing(bench) == []
    stopper.join()
    assert bench.wiring.clips is None  # half a line is no command


def test_rehearsal_without_standard_input_ends_when_it_is_stopped(bench, monkeypatch):
    monkeypatch.setattr("sys.stdin", None)
    stopper = threading.Timer(0.3, bench.stopped.set)
    stopper.start()
    assert attended_without_typing(bench) == []
    stopper.join()


def attended_without_typing(bench) -> list[str]:
    told: list[str] = []
    rehearsal.attend(bench, queue.SimpleQueue(), tell=told.append)
    return told


def test_rehearsal_can_end_when_the_drawer_is_done(bench, typing):
    assert (
        attended(bench, typing, lines=b"next\n" * 13, until_done=True)[-1] == "the drawer is done"
    )


def test_whole_job_runs_and_tidies_up(typing, tmp_path):
    told: list[str] = []
    path = tmp_path / "r.toml"
    typing.write(b"state\nstop\n")
    stopped = threading.Event()
    rehearsal.rehearse(path, tell=told.append, stopped=stopped, pause_s=0.01, hislip=True)
    assert stopped.is_set()
    assert not path.exists()
    assert any("hislip0" in line for line in told)


def test_job_refuses_before_anything_is_started(tmp_path):
    path = tmp_path / "bench.toml"
    path.write_text("", "utf-8")
    with pytest.raises(CapTriageError, match="is there already"):
        rehearsal.rehearse(path, tell=print, stopped=threading.Event())


def test_job_whose_port_is_in_use_writes_no_file(bench, tmp_path):
    port = int(bench.addresses["bridge"].split("::")[2])
    with pytest.raises(MeterError, match=f"bridge: TCP port {port}: "):
        rehearsal.rehearse(tmp_path / "r.toml", tell=print, stopped=threading.Event(), port=port)
    assert list(tmp_path.iterdir()) == []


def test_welcome_says_that_nothing_is_real_and_what_to_type(bench, tmp_path):
    lines = welcome(bench, tmp_path / "my bench.toml")
    text = "\n".join(lines)
    assert "Everything here is simulated" in text
    assert all(address in text for address in bench.addresses.values())
    begins = next(n for n, line in enumerate(lines) if line.startswith("  captriage log"))
    typed = " ".join(lines[begins : lines.index("", begins)]).replace("\\ ", "")
    words = shlex.split(typed)
    assert words[:2] == ["captriage", "log"]
    assert words[words.index("--bench") + 1] == str(tmp_path / "my bench.toml")
    assert Path(words[words.index("--parts") + 1]).is_file()


def test_welcome_of_the_parts_to_be_reformed_names_what_begins_a_run():
    with RehearsalBench(demo_drawer(REFORMING), automatic=False, reforming=True) as laid_out:
        lines = welcome(laid_out, Path("my bench.toml"), drawer=REFORMING, width=200)
    commands = [shlex.split(line) for line in lines if line.startswith("  captriage")]
    assert [" ".join(words[1:3]) for words in commands] == [
        "book new",
        "book import",
        "reform run",
    ]
    assert Path(commands[1][-1]).is_file()
    assert commands[2][3] == "D13"
    assert Path(commands[2][commands[2].index("--plan") + 1]).is_file()
    assert any('"jig D13" and "resistor 44000"' in line for line in lines)


@pytest.mark.parametrize(("drawer", "job"), [(SPARES, "drawer"), (REFORMING, "cellar")])
def test_commands_are_those_of_the_readme(drawer, job, tmp_path, monkeypatch):
    # README, "Rehearse first" and "Rehearse a run": the same names of job and files.
    (tmp_path / "data_demo").symlink_to(demo_file(""))
    monkeypatch.chdir(tmp_path)
    typed = " ".join(" ".join(words) for words in commands(Path("rehearsal.toml"), drawer=drawer))
    assert f"--job {job}" in typed
    assert "--book" not in typed
    assert str(demo_file("")) not in typed
    for file in re.findall(r"data_demo/\S+", typed):
        assert file in README.read_text("utf-8")


@pytest.mark.parametrize("drawer", [SPARES, REFORMING])
def test_without_the_demonstration_the_files_are_where_they_lie(drawer, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = [word for each in commands(Path("r.toml"), drawer=drawer) for word in each]
    assert all(Path(word).is_file() for word in words if word.endswith((".csv", ".json")))


@pytest.mark.parametrize("width", [60, 80, 100])
def test_welcome_keeps_to_the_width_and_parts_no_word(bench, width):
    lines = welcome(bench, Path("my bench.toml"), width=width)
    said = " ".join(lines).split()
    assert set(bench.addresses.values()) <= set(said)
    assert "simulated:" in said
    assert max(len(line) for line in lines if len(line.split()) > 2) <= width


def test_a_long_path_is_told_on_a_line_of_its_own(bench):
    out = Path("/somewhere with spaces") / "deep down" / ("x" * 60) / "rehearsal.toml"
    assert f"  {out}" in welcome(bench, out)


def test_what_is_told_keeps_to_the_width_below_its_last_column(typing, tmp_path):
    told: list[str] = []
    typing.write(b"help\nclip D99\nstop\n")
    rehearsal.rehearse(
        tmp_path / "r.toml", tell=told.append, stopped=threading.Event(), automatic=False, width=60
    )
    at = told.index("  clip PART               put it into the clips; the hand")
    assert told[at + 1] == " " * 26 + "goes on after it"
    refused = next(n for n, line in enumerate(told) if line.startswith("refused: drawer: "))
    assert not told[refused].endswith("D12")
    assert max(map(len, told[at:])) <= 60
