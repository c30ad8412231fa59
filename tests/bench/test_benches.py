"""The bench file: strict, and its mistakes named where they stand."""

import pytest

from captriage.bench.benches import BenchMeter, load_bench
from captriage.errors import ProfileError

GOOD = """
[bridge]
address = "TCPIP::127.0.0.1::40001::SOCKET"
profile = "lcr_scpi_values_status"
[voltmeter]
address = "ASRL/dev/ttyUSB0::INSTR"
profile = "multimeter_scpi"
[ammeter]
address = "keyboard"
profile = "typed"
[query]
address = "keyboard"
profile = "typed"
[hand]
address = "127.0.0.1:40009"
"""


@pytest.fixture
def bench(tmp_path):
    def write(text):
        path = tmp_path / "bench.toml"
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    return write


def test_meters_are_found_by_role_and_the_hand_is_none(bench):
    found = load_bench(bench(GOOD))
    assert list(found) == ["bridge", "voltmeter", "ammeter", "query"]
    assert found["voltmeter"] == BenchMeter(
        "voltmeter", "ASRL/dev/ttyUSB0::INSTR", "multimeter_scpi"
    )


def test_a_name_in_the_home_folder_is_found(bench, monkeypatch, tmp_path):
    bench(GOOD)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert "bridge" in load_bench("~/bench.toml")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", r"bench\.toml: no meter; write a table for one of bridge, voltmeter"),
        ('[hand]\naddress = "x"', "no meter"),
        ("[bridge", r"bench\.toml: .*; correct the bench file"),
        (b'[bridge]\naddress = "\xff"', "correct the bench file"),
        ('[brigde]\naddress = "x"', r"brigde: unknown key; bridge is probably meant"),
        ("bridge = 1", "bridge: 1; a table is wanted"),
        ('[bridge]\nadress = "x"', r"bridge\.adress: unknown key; address is probably meant"),
        ('[bridge]\naddress = "x"', r"bridge\.profile: missing"),
        ('[bridge]\naddress = 1\nprofile = "p"', r"bridge\.address: 1; a text in quotes"),
        ('[bridge]\naddress = " "\nprofile = "p"', r"bridge\.address: empty; write it"),
        (
            '[bridge]\naddress = "TCPIP::a::1::SOCKET"\nprofile = "p"\n'
            '[supply]\naddress = "TCPIP::a::1::SOCKET"\nprofile = "q"',
            r"supply\.address: 'TCPIP::a::1::SOCKET'; bridge is there: one meter, one role",
        ),
    ],
)
def test_a_mistake_is_named_where_it_stands(text, message, bench):
    with pytest.raises(ProfileError, match=message):
        load_bench(bench(text))


def test_a_file_that_is_missing_is_named(tmp_path):
    with pytest.raises(ProfileError, match=r"none\.toml: No such file or directory; name a bench"):
        load_bench(tmp_path / "none.toml")
