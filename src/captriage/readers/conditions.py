"""One cell taken apart: numbers with units, what stands between them, and what is left over.

Every character ends up in a token, in punctuation or in ``leftover``; nothing is skipped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

from captriage.readers.cell_rules import RULES
from captriage.readers.cell_words import APPROX, BOUNDS, LINK, TREND_OF, TRENDS
from captriage.units import NUMBER, Scanned, scan_quantity

_PLUS_MINUS: Final = re.compile(r"(?:±|\+\s*/\s*-|-\s*/\s*\+|\+-)\s*")
_TOLERANCE: Final = re.compile(
    r"(?P<first>[+-]\s*\d+(?:[.,]\d+)?)\s*%?\s*[/,.]{0,3}\s*(?P<second>[+-]\s*\d+(?:[.,]\d+)?)\s*%"
)
_RANGE: Final = re.compile(
    rf"(?P<low>{NUMBER})\s*(?:-|\.\.+|…|\bto\b|\bbis\b|\bà\b|\btot\b)\s*(?P<high>(?![+-]){NUMBER})"
)
_CLOCK: Final = re.compile(r"(\d{1,3}):([0-5]\d):([0-5]\d(?:[.,]\d+)?)(?![\d:])")
_LABEL: Final = re.compile(r"([^\W\d_|][^\d=:@<>]{0,11}?|\|z\|)\s*[=:\s]\s*(?=[\d<>~+.,-])", re.I)
_OR_MORE: Final = re.compile(rf"({NUMBER})\s*\+\s*([^\W\d].*|%|)")
_SPACE: Final = re.compile(r"\s+")
_WORD: Final = re.compile(r"[^\W\d_]+\.?|\d+[^\s,;()]*|\S")


@dataclass(slots=True)
class Term:
    """A number with its unit, and how it is introduced.

    ``at`` is true behind "@" or "at"; ``start`` tells whether it opens the cell.
    """

    scanned: Scanned
    text: str
    at: bool = False


@dataclass(slots=True)
class Parsed:
    """What one cell consists of."""

    terms: list[Term] = field(default_factory=list)
    plus_minus: Term | None = None
    tolerance: tuple[float, float] | None = None  # (low, high) as fractions
    range_low: Scanned | None = None  # "45-47 µF": the value term is the high end
    bound: str = ""  # "least" or "most"
    approximate: bool = False
    trends: list[str] = field(default_factory=list)
    leftover: list[str] = field(default_factory=list)


def parse_cell(text: str, quantity: str, *, decimal: str | None = None) -> Parsed:
    """Take normalised text apart; ``quantity`` breaks ties between units."""
    rule = RULES[quantity]
    dimension = "" if rule.dimension in ("1", "any") else rule.dimension
    parsed = Parsed()
    position, at, dangling = 0, False, ""
    plus = _OR_MORE.fullmatch(text)
    if plus is not None:  # "30+ years"
        parsed.bound, text = "least", f"{plus[1]} {plus[2]}"
    label = _LABEL.match(text)
    if label is not None and " ".join(label.group(1).lower().split()) in rule.names:
        position = label.end()
    while position < len(text):
        end = _mark(text, position, parsed)
        if end is None:
            end = _term(text, position, parsed, at=at, dimension=dimension, decimal=decimal)
            at, dangling = (False, "") if end is not None else (at, dangling)
        if end is None:
            link = LINK.match(text, position)
            if link is not None:
                dangling = link.group() if link.group()[0].isalnum() else dangling
                at = link.group("at") is not None or (at and link.group() == "(")
                end = link.end()
        if end is None:
            word = _WORD.match(text, position)
            end = word.end() if word else position + 1
            parsed.leftover.append(text[position:end])
        position = end
    if dangling:
        parsed.leftover.append(dangling)
    return parsed


def _mark(text: str, position: int, parsed: Parsed) -> int | None:
    """End of a mark (space, bound, "about", trend, doubt) that begins here, or None."""
    space = _SPACE.match(text, position)
    if space is not None:
        return space.end()
    if not parsed.terms and not parsed.bound:
        bound = BOUNDS.match(text, position)
        if bound is not None:
            parsed.bound = "least" if bound.group("least") else "most"
            return bound.end()
    approximate = APPROX.match(text, position)
    if approximate is not None:
        parsed.approximate = True
        return approximate.end()
    if parsed.terms and text[position] == "?":
        parsed.approximate = True
        return position + 1
    trend = TRENDS.match(text, position) if parsed.terms else None
    if trend is not None:
        parsed.trends.append(TREND_OF[trend.group().lower()])
        return trend.end()
    return None


def _term(
    text: str, position: int, parsed: Parsed, *, at: bool, dimension: str, decimal: str | None
) -> int | None:
    """End of the number, range, tolerance or uncertainty that begins here, or None."""
    clock = _CLOCK.match(text, position)
    if clock is not None:
        hours, minutes, seconds = clock.groups()
        total = int(hours) * 3600 + int(minutes) * 60 + float(seconds.replace(",", "."))
        scanned = scan_quantity(f"{total!r} s", dimension="s")
        if scanned is not None:
            parsed.terms.append(Term(scanned, clock.group(), at))
            return clock.end()
    if parsed.terms:
        tolerance = _TOLERANCE.match(text, position)
        if tolerance is not None and parsed.tolerance is None:
            ends = [float(tolerance[k].replace(" ", "").replace(",", ".")) for k in (1, 2)]
            parsed.tolerance = (min(ends) / 100, max(ends) / 100)
            return tolerance.end()
        plus_minus = _PLUS_MINUS.match(text, position)
        if plus_minus is not None and parsed.plus_minus is None:
            scanned = scan_quantity(text, plus_minus.end(), dimension=dimension, decimal=decimal)
            if scanned is not None and not scanned.number.signed:
                parsed.plus_minus = Term(scanned, text[position : scanned.end].strip())
                return scanned.end
    elif (span := _RANGE.match(text, position)) is not None and parsed.range_low is None:
        low = scan_quantity(span["low"], decimal=decimal)
        high = scan_quantity(text, span.start("high"), dimension=dimension, decimal=decimal)
        if low is not None and high is not None and low.end == len(span["low"]):
            parsed.range_low = low
            parsed.terms.append(Term(high, text[position : high.end]))
            return high.end
    if parsed.terms and text[position] in "+-" and text[position - 1].isdigit():
        return None  # "40+40": a second value, not a signed one
    scanned = scan_quantity(text, position, dimension=dimension, decimal=decimal)
    if scanned is None:
        return None
    parsed.terms.append(Term(scanned, text[position : scanned.end], at))
    return scanned.end
