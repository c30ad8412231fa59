"""Headings and roles as restorers of six languages write them."""

from __future__ import annotations

import pytest

from captriage.readers.headings import parse_heading
from captriage.readers.markings import parse_role

HEADINGS = {
    "working": ["Working V", "Work V", "Volts working", "V work", "Voltaje de trabajo"],
    "voltage_working": ["Operating voltage", "Operating V", "Betriebsspannung"],
    "idle_years": [
        "Jahre unbenutzt", "unbenutzt seit", "years unused", "Années hors tension", "Años sin uso",
        "Anni di inutilizzo", "Jaren ongebruikt",
    ],
    "tolerance": [
        "Kapazitätstoleranz", "Capacitance tolerance", "Tolérance de capacité",
        "Tolerancia de capacidad", "Tolleranza di capacità", "Capaciteitstolerantie",
    ],
}  # fmt: skip
ROLES = {
    "decoupling": [
        "screen supply", "preamp supply", "phase splitter supply", "Schirmgitterspannung",
        "alimentation écran", "alimentación de pantalla", "alimentazione schermo",
        "schermroostervoeding",
    ],
    "smoothing": ["output stage supply"],
    "cathode bypass": [
        "Katodenelko", "Kathodenelko", "condensateur de cathode", "condensador de cátodo",
        "condensatore di catodo", "kathode-elco",
    ],
    "bias supply": [
        "Gitterspannung", "Gittervorspannung", "tension de grille", "tensión de rejilla",
        "tensione di griglia", "roostervoorspanning",
    ],
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "column"), [(text, column) for column, texts in HEADINGS.items() for text in texts]
)
def test_heading_is_known(text, column):
    assert parse_heading(text).column == column


@pytest.mark.parametrize(
    ("text", "role"), [(text, role) for role, texts in ROLES.items() for text in texts]
)
def test_role_is_known(text, role):
    assert parse_role(text) == role
