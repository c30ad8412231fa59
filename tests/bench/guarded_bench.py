"""The rehearsal bench with a supply behind a guardian, and what the supply itself knows."""

import re
import subprocess
import sys
import textwrap
import time
from contextlib import contextmanager
from pathlib import Path

from captriage.bench.clock import SystemClock
from captriage.bench.guarded import Address, GuardedSupply
from captriage.bench.guardian import Allowed
from captriage.bench.profiles import profile_paths

OFF_WITHIN_S = 2.0
PATIENCE_S = 15.0

PROGRAM = """
    import sys, time
    sys.path[:0] = {path!r}
    from bench.guarded_bench import started
    with started({address!r}, {folder!r}) as supply:
        print(supply.guardian_pid, flush=True)
        {then}
        while True:
            supply.beat()
            time.sleep(0.05)
"""


@contextmanager
def started(address, folder, *, highest_v=450.0, highest_a=0.05, until_s=60.0, volts=60.0):
    """A guarded supply whose output is on."""
    supply = GuardedSupply(
        Address("supply", address, "supply_scpi"),
        Allowed(highest_v, highest_a, until_s),
        clock=SystemClock(),
        last_words=Path(folder) / "last.json",
    )
    supply.start()
    try:
        supply.perform("set_voltage", voltage_v=volts)
        supply.perform("set_current_limit", current_a=0.02)
        supply.perform("on")
        yield supply
    finally:
        supply.close()


@contextmanager
def run_of_its_own(address, folder, then="pass"):
    """A process that has a guarded supply on, and the number of its guardian."""
    tests = str(Path(__file__).parents[1])
    code = textwrap.dedent(PROGRAM).format(
        path=[tests], address=address, folder=str(folder), then=then
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        try:
            yield process, int(process.stdout.readline())
        finally:
            process.kill()


def is_on(bench):
    """Whether the output of the simulated supply is on, asked of itself."""
    return bench.ports["supply"].instrument.answer("OUTP?") == "1"


def off_after(bench, *, within_s=OFF_WITHIN_S):
    """Seconds until the output is off; fails where it stays on."""
    began = time.monotonic()
    while is_on(bench):
        assert time.monotonic() - began < within_s, "the output is on still"
        time.sleep(0.005)
    return time.monotonic() - began


def own_profile(folder, **changes):
    """File of the supply's profile with lines changed: key, and what is to stand there."""
    text = profile_paths()["supply_scpi"].read_text("utf-8")
    for key, line in changes.items():
        text = re.sub(rf"(?m)^{key}.*\n", line, text)
    path = Path(folder) / "own_supply.toml"
    path.write_text(text, "utf-8")
    return str(path)


def until(true, within_s=PATIENCE_S, every=lambda: None):
    """Wait for something to be so."""
    began = time.monotonic()
    while not true():
        assert time.monotonic() - began < within_s, "it did not come to that"
        every()
        time.sleep(0.01)
