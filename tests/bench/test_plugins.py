"""Meter classes of other packages, really installed as far as importlib.metadata can tell."""

from __future__ import annotations

import importlib
import re
import sys
from pathlib import Path

import pytest

from captriage.bench.plugins import METHODS, load_meter_class, meter_plugins
from captriage.bench.proving import StillClock
from captriage.errors import ProfileError

README = Path(__file__).parents[2] / "instruments" / "README.md"


def example() -> str:
    """The class that instruments/README.md shows."""
    blocks = re.findall(r"```python\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    (found,) = [block for block in blocks if "class TapMeter" in block]
    return found


@pytest.fixture
def install(tmp_path, monkeypatch):
    """Puts a distribution on the path: a module, and its metadata with entry points."""
    monkeypatch.syspath_prepend(str(tmp_path))

    def put(module, source, *points, package=""):
        package = package or module
        (tmp_path / f"{module}.py").write_text(source, "utf-8")
        info = tmp_path / f"{package}-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: 1.0\n")
        lines = "".join(f"{point}\n" for point in points)
        (info / "entry_points.txt").write_text(f"[captriage.meters]\n{lines}", "utf-8")
        importlib.invalidate_caches()

    yield put
    for name in [name for name in sys.modules if name.startswith("fair_")]:
        del sys.modules[name]


def test_the_documented_example_is_a_meter(install, tmp_path):
    install("fair_tap", example(), "tap = fair_tap:TapMeter")
    assert "tap" in meter_plugins()
    assert "fair_tap" not in sys.modules  # found without being imported
    readings = tmp_path / "tap.txt"
    meter = load_meter_class("tap")(str(readings), StillClock())
    with pytest.raises(Exception, match=r"tap: there is no .*tap\.txt; start the logger"):
        meter.open()
    readings.write_text("0.0012\n0.0011\n", "utf-8")
    assert meter.open() == f"tap on {readings}"
    with pytest.raises(ProfileError, match="tap: it measures dc_current"):
        meter.use("resistance")
    meter.use("dc_current")
    answer = meter.read()
    assert (answer.of("current").value, answer.raw) == (0.0011, "0.0011")
    readings.write_text("0.0011\n0.00", "utf-8")  # a line that is being written
    with pytest.raises(Exception, match="tap: the last line is not whole; ask again"):
        meter.read()
    meter.act("beep")
    assert meter.reopen() == f"tap on {readings}"
    meter.close()


def test_no_such_class_is_answered_with_those_there_are(install):
    with pytest.raises(ProfileError, match=r"^meter tap: no class of this name; there are: none"):
        load_meter_class("tap")
    install("fair_tap", example(), "tap = fair_tap:TapMeter")
    with pytest.raises(ProfileError, match=r"^meter tip: no class of this name; there are: tap$"):
        load_meter_class("tip")


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("raise RuntimeError('no driver')", r"cannot be imported \(RuntimeError: no driver\); cor"),
        ("import fair_missing", r"cannot be imported \(ModuleNotFoundError"),
        ("", r"cannot be imported \(AttributeError"),
        ("class Meter:\n    def open(self): ...\n    close = 3\n", "has no use, read, act, reopen, "
         "close; a meter class has open"),
        ("class Meter: ...\nMeter = type('M', (), dict.fromkeys("
         f"{METHODS}, lambda s: None))()\n", "has no constructor; a meter class has open"),
    ],
)  # fmt: skip
def test_a_class_that_is_no_meter_is_refused(install, source, said):
    install("fair_bad", source, "bad = fair_bad:Meter")
    with pytest.raises(ProfileError, match=rf"^meter bad: fair_bad:Meter {said}"):
        load_meter_class("bad")


def test_two_classes_of_one_name_are_refused(install):
    install("fair_one", "", "tap = fair_one:A")
    install("fair_two", "", "tap = fair_two:B")
    said = r"^meter tap: offered as fair_\w+:\w and as fair_\w+:\w; uninstall one of the two"
    with pytest.raises(ProfileError, match=said):
        meter_plugins()
