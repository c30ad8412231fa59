"""Least squares against NIST StRD certified values; see tests/data/nist_strd/README.md."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from captriage.model.fitting import fit_least_squares

SETS = Path(__file__).parents[1] / "data" / "nist_strd"
LINE = re.compile(r"\s+b\d =\s+(\S+)\s+(\S+)\s+(\S+)\s+(\S+)")
FIRST_DATUM = 60  # of each file, its own heading says so

MODELS = {
    "Bennett5": lambda b, x: b[0] * (b[1] + x) ** (-1 / b[2]),
    "BoxBOD": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "DanWood": lambda b, x: b[0] * x ** b[1],
    "Lanczos3": lambda b, x: sum(b[2 * k] * np.exp(-b[2 * k + 1] * x) for k in range(3)),
    "MGH09": lambda b, x: b[0] * (x**2 + x * b[1]) / (x**2 + x * b[2] + b[3]),
    "Misra1a": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "Rat43": lambda b, x: b[0] / (1 + np.exp(b[1] - b[2] * x)) ** (1 / b[3]),
}


def read(name):
    lines = (SETS / f"{name}.dat").read_text("ascii").splitlines()
    table = np.array([LINE.match(line).groups() for line in lines if LINE.match(line)], float)
    y, x = np.array([line.split() for line in lines[FIRST_DATUM:] if line.strip()], float).T
    residual = next(float(line.split()[-1]) for line in lines if "Residual Standard Dev" in line)
    return table, x, y, residual


def digits(found, certified):
    """Log relative error, as NIST counts the digits that agree."""
    with np.errstate(divide="ignore"):
        return -np.log10(np.abs(found - certified) / np.abs(certified)).min()


@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("name", sorted(MODELS))
def test_certified_values_are_met_from_both_starts(name, start):
    table, x, y, residual = read(name)
    fitted = fit_least_squares(MODELS[name], x, y, start=table[:, start])
    assert fitted.converged, fitted.failure
    assert digits(fitted.parameters, table[:, 2]) >= 6
    assert digits(fitted.standard_errors, table[:, 3]) >= 4
    assert digits(np.array([fitted.residual]), np.array([residual])) >= 4


def test_sets_have_as_many_points_as_their_headings_say():
    for name in MODELS:
        _, x, _, _ = read(name)
        text = (SETS / f"{name}.dat").read_text("ascii")
        assert len(x) == int(re.search(r"Number of Observations:\s+(\d+)", text)[1])


def test_weights_that_are_all_alike_change_nothing_but_the_residual():
    table, x, y, _ = read("DanWood")
    plain = fit_least_squares(MODELS["DanWood"], x, y, start=table[:, 1])
    heavy = fit_least_squares(MODELS["DanWood"], x, y, start=table[:, 1], sigma=0.1)
    np.testing.assert_allclose(heavy.parameters, plain.parameters, rtol=1e-8)
    np.testing.assert_allclose(heavy.standard_errors, plain.standard_errors, rtol=1e-6)
    assert heavy.residual == pytest.approx(10 * plain.residual)


def test_line_through_points_is_the_textbook_one():
    x, y = np.array([0.0, 1, 2, 3]), np.array([1.0, 3, 2, 5])
    fitted = fit_least_squares(lambda b, x: b[0] + b[1] * x, x, y, start=np.array([0.0, 0.0]))
    # Slope 5.5/5, intercept 2.75 - 1.5 × 1.1; residual sum of squares 2.7.
    np.testing.assert_allclose(fitted.parameters, [1.1, 1.1], rtol=1e-9)
    assert fitted.residual**2 * 2 == pytest.approx(2.7)


@pytest.mark.parametrize(
    ("model", "start", "said"),
    [
        (lambda b, x: b[0] + 0 * b[1] * x, [1.0, 1.0], "no influence"),
        (lambda b, x: (b[0] + b[1]) * x, [1.0, 1.0], "told apart"),
        (lambda b, x: np.log(b[0]) * x, [-1.0], "no finite values"),
        (lambda b, x: b[0] + b[1] * x + b[2] * x**2 + b[3] * x**3, [1.0] * 4, "4 readings for 4"),
    ],
)
def test_what_cannot_be_fitted_is_said(model, start, said):
    x = np.array([1.0, 2, 3, 4])
    fitted = fit_least_squares(model, x, 2 * x, start=np.array(start))
    assert not fitted.converged
    assert said in fitted.failure
    assert np.isnan(fitted.standard_errors).all()


def test_search_that_does_not_arrive_is_said():
    table, x, y, _ = read("Bennett5")
    start = table[:, 0]
    fitted = fit_least_squares(MODELS["Bennett5"], x, y, start=start, most_evaluations=2)
    assert "not converged after" in fitted.failure
    assert np.isnan(fitted.parameters).all()


def test_search_that_leaves_the_numbers_is_said():
    x = np.array([1.0, 2, 3])
    model = lambda b, x: np.where(b[0] > 0.5, b[0], np.nan) * x  # noqa: E731
    fitted = fit_least_squares(model, x, -50 * x, start=np.array([1.0]))
    assert not fitted.converged
    assert fitted.failure
