"""Write the invented logs of data_demo/reforming: physics of the house, noise, and a made-up hand.

Run as a script to write them anew. Nothing in them was measured: charging through the resistor,
flaws that heal by the law of :mod:`captriage.model.reforming`, a share that is only absorbed, a
floor that does not heal, and 3 % of noise, its seed fixed. The numbers are chosen so that the
parts of the invented rack come out as their story has it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from captriage.model.leakage import leakage_voltage_factor
from captriage.model.reforming import healing_current, slowing_current

FOLDER = Path(__file__).parents[1] / "data_demo" / "reforming"
NOISE = 0.03
EVERY_S = 20.0
ABSORBED_A = 2e-3  # at one second, and falling as 1/t^0.9
GROWTH_PER_K = np.log(4.0) / 65.0  # four times from 20 °C to 85 °C: Wikipedia, electrolytics
RESISTANCE_K_PER_W, WARMS_IN_S = 30.0, 600.0  # a can of 25 mm; common practice


def step(volts, before, *, farad, ohm, start_a, charge, floor_a, seconds, every_s=EVERY_S):
    """Time at a voltage and the current then: charging, absorption, healing, floor."""
    t = np.arange(2.0, seconds, every_s)
    heals = healing_current(
        t, current_start=start_a, charge=charge, slowing=slowing_current(volts, ohm)
    )
    charging = (volts - before) / ohm * np.exp(-t / (ohm * farad))
    absorbed = ABSORBED_A * farad / 32e-6 * (volts - before) / 100 * t**-0.9
    return t, heals + charging + absorbed + floor_a * leakage_voltage_factor(volts / 450)


def warming(volts, *, cold_a, start_a, charge, seconds):
    """Time and current of a part whose leakage heats it faster than the case can shed."""
    t = np.arange(2.0, seconds, EVERY_S)
    rise, current = 0.0, []
    heals = healing_current(t, current_start=start_a, charge=charge)
    for healing in heals:
        current.append(min(healing + cold_a * np.exp(GROWTH_PER_K * rise), volts / 10e3))
        power = volts * current[-1]
        rise += EVERY_S / WARMS_IN_S * (RESISTANCE_K_PER_W * power - rise)
    return t, np.array(current)


def joined(steps, noise):
    """Steps one after the other, with noise: time, supply voltage, current."""
    begins, rows = 0.0, []
    for volts, t, current in steps:
        noisy = current * noise.normal(1.0, NOISE, len(t))
        rows += [(begins + a, volts, b) for a, b in zip(t, noisy, strict=True)]
        begins += t[-1] + EVERY_S / 2
    return rows


def healing_run(voltages, seconds, starts, charges, *, farad, ohm, floor_a, seed, every_s=EVERY_S):
    """A run of several steps."""
    steps, before = [], 0.0
    for volts, last, start_a, charge in zip(voltages, seconds, starts, charges, strict=True):
        t, current = step(
            volts, before, farad=farad, ohm=ohm, start_a=start_a, charge=charge, floor_a=floor_a,
            seconds=last, every_s=every_s,
        )  # fmt: skip
        steps.append((volts, t, current))
        before = volts
    return joined(steps, np.random.default_rng(seed))


def clock(seconds):
    """Elapsed time as a logger shows it."""
    whole = int(seconds)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def write(name, lines, encoding="utf-8"):
    (FOLDER / name).write_bytes(("\n".join(lines) + "\n").encode(encoding))


def main() -> None:
    """Write them all."""
    FOLDER.mkdir(exist_ok=True)
    invented = "Invented example: reforming at the Palladine cinema"
    p1 = {"farad": 34e-6, "ohm": 10e3, "floor_a": 60e-6}
    rows = healing_run(
        (112, 225, 337, 385), (1900, 1800, 1500, 1500), (3e-3, 5e-3, 6e-3, 5e-3),
        (0.06, 0.19, 0.36, 0.4), seed=1959, **p1,
    )  # fmt: skip
    head = [
        "Part: P1 32 µF 450 V",
        "Made: 1959",
        "Working voltage: 385 V",
        "Series resistor: 10 kΩ",
    ]
    write(
        "P1.csv",
        [invented, *head, "time (s),supply (V),current (mA)"]
        + [f"{t:.0f},{v},{1e3 * i:.4f}" for t, v, i in rows],
    )
    rows = healing_run(
        (385,), (480,), (3e-3,), (0.06,), seed=1960, every_s=6.0, **p1
    )  # fmt: skip
    write(
        "P1_re-test.csv",
        [invented, *head, "Kind: re-test after 36 h of rest", "time (s),supply (V),current (µA)"]
        + [f"{t:.0f},{v},{1e6 * i:.0f}" for t, v, i in rows],
    )
    rows = healing_run(
        (110, 225, 310), (1800, 1800, 1400), (1e-3, 2e-3, 4e-3), (0.045, 0.15, 0.75),
        farad=8.4e-6, ohm=4.7e3, floor_a=30e-6, seed=1961,
    )  # fmt: skip
    write(
        "A3.csv",
        [f"{invented};;;", "Bauteil;A3 8 µF 450 V;;", "Baujahr;1959;;",
         "Betriebsspannung;310 V;;", "Vorwiderstand;4,7 kOhm;;",
         "Zeit (hh:mm:ss);Netzgerät (V);Spannungsabfall (V);Bemerkung"]
        + [
            f"{clock(t)};{v};{4.7e3 * i:.3f};".replace(".", ",")
            + ("höher gestellt" if n and rows[n - 1][1] != v else "")
            for n, (t, v, i) in enumerate(rows)
        ],
        encoding="cp1252",
    )  # fmt: skip
    noise = np.random.default_rng(1962)
    first = step(100, 0, farad=8.2e-6, ohm=10e3, start_a=5e-4, charge=0.02, floor_a=20e-6,
                 seconds=900)  # fmt: skip
    second = step(200, 100, farad=8.2e-6, ohm=10e3, start_a=9e-4, charge=0.08, floor_a=20e-6,
                  seconds=900)  # fmt: skip
    hot = warming(295, cold_a=2.4e-3, start_a=2.5e-3, charge=0.5, seconds=2400)
    rows = joined([(100, *first), (200, *second), (295, *hot)], noise)
    write(
        "A9.tsv",
        [invented, "Part: A9\t8 µF 450 V", "elapsed\tset\tI"]
        + [
            f"{clock(t)}\t{v} V\t" + (f"{1e3 * i:.3f} mA" if i >= 1e-3 else f"{1e6 * i:.1f} µA")
            for t, v, i in rows
        ],
    )
    rows = healing_run(
        (85, 170), (1200, 1500), (5e-4, 9e-4), (0.024, 0.07), farad=15e-6, ohm=10e3, floor_a=15e-6,
        seed=1963,
    )  # fmt: skip
    began = np.datetime64("2026-11-20T18:30:00")
    write(
        "P4a.csv",
        ["# " + invented, "# Part: P4 a", "timestamp (UTC),V_set,I_A"]
        + [f"{began + np.timedelta64(round(t), 's')}Z,{v},{i:.4e}" for t, v, i in rows],
    )


if __name__ == "__main__":
    main()
