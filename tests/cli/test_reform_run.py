"""The command "captriage reform run": what it refuses, and its help."""

import subprocess
import sys

COMMAND = (sys.executable, "-m", "captriage", "reform", "run")


def run(folder, *arguments):
    return subprocess.run(
        [*COMMAND, *arguments], cwd=folder, capture_output=True, text=True, check=False
    )


def test_the_help_says_first_that_it_can_kill(tmp_path):
    said = " ".join(run(tmp_path, "--help").stdout.split())
    assert "THIS CAN KILL." in said
    assert "The stops of this program are no safety device." in said
    assert "local rules and licensed practice come first" in said


def test_without_a_bench_it_is_told_what_to_name(tmp_path):
    ran = run(tmp_path, "C1", "--job", "r")
    assert ran.returncode == 2
    assert "meter ammeter: not on the bench (no bench file was given)" in ran.stderr


def test_a_plan_that_is_not_there_is_named(tmp_path):
    (tmp_path / "bench.toml").write_text(
        '[ammeter]\naddress = "TCPIP::127.0.0.1::1::SOCKET"\nprofile = "multimeter_scpi"\n', "utf-8"
    )
    ran = run(tmp_path, "C1", "--job", "r", "--by-hand", "--plan", "none.json")
    assert (ran.returncode, ran.stderr) == (
        2,
        "captriage: none.json: No such file or directory; name a plan\n",
    )
