"""The signs of the trade spelt out where only ASCII can be written."""

from __future__ import annotations

from typing import Final

SPELT: Final = str.maketrans(
    {
        "µ": "u",
        "Ω": "ohm",
        "°": " deg",
        "δ": "delta",
        "√": "sqrt",
        "∞": "inf",
        "–": "-",
        "—": "-",
        "−": "-",
        "─": "-",
        "·": "*",
        "×": "x",
        "•": "*",
        "…": "...",
        "≤": "<=",
        "≥": ">=",
        "±": "+/-",
        "→": "->",
        "“": '"',
        "”": '"',
        "‘": "'",
        "’": "'",
        "\N{NO-BREAK SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
    }
)


def ascii_only(text: str) -> str:
    """Text in ASCII: what has a spelling is spelt out, anything else is "?"."""
    return text.translate(SPELT).encode("ascii", "replace").decode("ascii")
