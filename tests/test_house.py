"""The repository keeps its own promises: what lies where, how long, and what must not be in it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "src",
    "instruments",
    "data_demo",
    "tests",
}
LONGEST = 320  # lines
LONGER = {
    "src/captriage/model/leakage_limits.py": "a catalogue: each limit with its source",
    "tests/judging/test_rules.py": "a table of parts and their fates",
    "tests/readers/test_cells.py": "tables of cells",
    "tests/readers/test_markings.py": "tables of markings",
    "tests/readers/test_sheets.py": "one small sheet a test",
}
LARGEST_BYTES = 1_000_000
LOCK_FILES = {"poetry.lock", "uv.lock", "Pipfile.lock", "pdm.lock", "pylock.toml"}

# Written in pieces, so that this file does not hold what it forbids.
FORBIDDEN = {
    "a package registry's host": r"py" + r"pi\.org|python" + r"hosted|registry\.n" + r"pmjs",
    "a path of one machine": r"/(" + "|".join(["wo" + "rk", "ro" + "ot"]) + r")/",
    "unfinished work": r"\b(TO" + r"DO|FIX" + r"ME|XX" + r"X|NotImplemented" + r"Error)\b",
}


def tracked() -> list[Path]:
    """Files that git knows, as they lie in the tree now."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def texts(*suffixes: str) -> list[tuple[Path, str]]:
    """Tracked files of these kinds and what stands in them."""
    return [
        (f, f.read_bytes().decode("utf-8", "replace")) for f in tracked() if f.suffix in suffixes
    ]


def test_top_level_holds_only_the_agreed_names():
    seen = {f.relative_to(ROOT).parts[0] for f in tracked()}
    assert {name for name in seen if not name.startswith(".")} <= TOP_LEVEL
    assert TOP_LEVEL - seen == set()


def test_no_python_file_is_long_but_those_named():
    long = {str(f.relative_to(ROOT)) for f, text in texts(".py") if text.count("\n") > LONGEST}
    assert long == LONGER.keys()


def test_no_file_is_large():
    large = [str(f.relative_to(ROOT)) for f in tracked() if f.stat().st_size > LARGEST_BYTES]
    assert large == []


def test_there_is_no_lock_file():
    assert [f.name for f in tracked() if f.name in LOCK_FILES] == []


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what):
    found = re.compile(FORBIDDEN[what])
    hits = [
        f"{f.relative_to(ROOT)}:{number}"
        for f, text in texts(".py", ".toml", ".md", ".html", ".j2", ".csv", "")
        for number, line in enumerate(text.splitlines(), 1)
        if found.search(line)
    ]
    assert hits == []


def test_no_error_is_swallowed():
    hits = [
        f"{f.relative_to(ROOT)}:{node.lineno}"
        for f, text in texts(".py")
        if f.is_relative_to(ROOT / "src")
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or ast.unparse(node.type) in {"Exception", "BaseException"})
        and not isinstance(node.body[-1], ast.Raise)
    ]
    assert hits == []


def test_every_room_of_the_package_has_tests():
    rooms = {f.parent.name for f in tracked() if f.parent.parent == ROOT / "src" / "captriage"}
    rooms = {room for room in rooms if (ROOT / "src" / "captriage" / room / "__init__.py").exists()}
    untested = {room for room in rooms if not list((ROOT / "tests" / room).glob("test_*.py"))}
    assert rooms
    assert untested == set()


def test_layers_import_only_downwards():
    ran = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_help_waits_for_no_heavy_library():
    heavy = ["pandas", "numpy", "scipy", "matplotlib", "jinja2", "openpyxl"]
    heavy += ["pyvisa", "serial", "usb", "sqlalchemy", "psycopg"]
    code = (
        "import sys\n"
        "from captriage.cli import main\n"
        "sys.argv = ['captriage', '--help']\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n    assert not end.code\n"
        f"print('loaded:', [name for name in {heavy} if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ran.stdout.endswith("loaded: []\n"), ran.stdout + ran.stderr


def test_judging_needs_no_developer_tool():
    """Everything that the package imports from outside is a declared dependency."""
    code = (
        "import sys, captriage.jobs.sheets\n"
        "print([n for n in ('scipy', 'pytest', 'hypothesis', 'skrf') if n in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ran.stdout == "[]\n", ran.stdout + ran.stderr


def test_map_of_the_house_is_true_to_the_tree():
    said = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`(?:[\w/]+/)?(\w+\.(?:py|toml|csv))`", said))
    there = {f.name for f in tracked()}
    modules = {
        f.name
        for f in tracked()
        if f.suffix == ".py" and f.is_relative_to(ROOT / "src") and not f.stem.startswith("__")
    }
    assert modules - named == set(), "in the tree, not on the map"
    assert named - there == set(), "on the map, not in the tree"
