"""Large sheets for the benchmarks: plausible parts, one to four readings each, any number."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

READINGS_PER_PART = 4
SEED = 1959
RATED_UF = np.array([8, 10, 16, 25, 32, 47, 50, 100, 220, 470, 1000])
RATED_V = np.array([16, 25, 50, 63, 160, 250, 350, 450])


def parts(count: int) -> pd.DataFrame:
    """Parts that spread over every verdict: sound, leaky, dried out, open."""
    rng = np.random.default_rng(SEED)
    rated = rng.choice(RATED_UF, count)
    volts = rng.choice(RATED_V, count)
    left = np.clip(rng.normal(1.05, 0.25, count), 0.01, 2.0)
    capacitance = rated * left
    tan_delta = 0.1 * np.exp(rng.normal(0, 0.6, count))
    esr = 0.6 * tan_delta / (2 * np.pi * 120 * capacitance * 1e-6)
    leakage = (0.02 * rated + 0.3) * np.exp(rng.normal(-1, 1.5, count))
    return pd.DataFrame(
        {
            "ref": [f"C{n}" for n in range(1, count + 1)],
            "rated (µF)": rated,
            "rated (V)": volts,
            "made": rng.integers(1950, 1990, count),
            "idle (years)": rng.integers(0, 30, count),
            "C 120 Hz (µF)": capacitance.round(2),
            "tan δ 120 Hz": tan_delta.round(4),
            "ESR 1 kHz (Ω)": esr.round(3),
            "leakage (mA)": leakage.round(4),
            "test voltage (V)": volts,
            "soak (min)": 5,
        }
    )


def write_wide(path: Path, readings: int) -> None:
    """Write one row a part, four readings each."""
    parts(readings // READINGS_PER_PART).to_csv(path, index=False)


def write_long(listed: Path, taken: Path, readings: int) -> None:
    """Write the parts to one file and one row a reading to the other."""
    frame = parts(readings // READINGS_PER_PART)
    frame[["ref", "rated (µF)", "rated (V)", "made", "idle (years)"]].to_csv(listed, index=False)
    kinds = [
        ("C 120 Hz (µF)", "capacitance", "µF", 120),
        ("tan δ 120 Hz", "tan δ", "", 120),
        ("ESR 1 kHz (Ω)", "ESR", "Ω", 1000),
        ("leakage (mA)", "leakage current", "mA", None),
    ]
    rows = [
        pd.DataFrame(
            {
                "ref": frame["ref"],
                "quantity": quantity,
                "value": frame[column],
                "unit": unit,
                "frequency (Hz)": frequency,
                "test voltage (V)": frame["test voltage (V)"] if unit == "mA" else None,
                "soak (min)": 5 if unit == "mA" else None,
            }
        )
        for column, quantity, unit, frequency in kinds
    ]
    pd.concat(rows).sort_index(kind="stable").to_csv(taken, index=False)
