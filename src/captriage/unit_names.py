"""Spellings of units met on sleeves, in old catalogues, on meters and in sheets.

Each dimension has its own table, because the same letter means different things in
different columns: "m" is a minute beside a soak time and milli beside an ESR.
Scales are kept as a multiplier and a divisor so that "47.2 µF" becomes the float
nearest to 47.2e-6.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

MF_OLD: Final = "{} taken as microfarad (old marking), not millifarad or megafarad"
MF_MODERN: Final = "mF: confirm against rating (old text uses mF for microfarad)"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its dimension, its scale to SI, and what is doubtful about its spelling.

    Parameters
    ----------
    dimension : str
        "F", "Ω", "V", "A", "s", "Hz", "%", "°C", "°F", "K", "a" (years), or "prefix"
        for a bare k, m, µ ... whose unit the column has to give.
    multiply, divide : float
        SI value = number × ``multiply`` / ``divide``.
    doubt : str
        What a reader must say when the unit is taken in this sense; "" where nothing is.
    other_divide : float
        Divisor of the other possible sense; 0.0 where there is none.
    """

    dimension: str
    multiply: float = 1.0
    divide: float = 1.0
    doubt: str = ""
    other_divide: float = 0.0

    def to_si(self, number: float) -> float:
        """SI value of ``number`` of this unit."""
        return number * self.multiply / self.divide


PREFIXES: Final[dict[str, tuple[float, float]]] = {
    "p": (1.0, 1e12),
    "n": (1.0, 1e9),
    "u": (1.0, 1e6),
    "µ": (1.0, 1e6),
    "m": (1.0, 1e3),
    "k": (1e3, 1.0),
    "K": (1e3, 1.0),
    "M": (1e6, 1.0),
    "G": (1e9, 1.0),
}
"""Prefix: (multiplier, divisor)."""


def _table(dimension: str, *rows: tuple[str, float, float]) -> dict[str, Unit]:
    return {
        name: Unit(dimension, multiply, divide)
        for names, multiply, divide in rows
        for name in names.split("|")
    }


# Folded spellings: looked up in lower case. Exact spellings win over them.
FOLDED: Final[dict[str, dict[str, Unit]]] = {
    "F": _table(
        "F",
        ("f|fd|farad|farads|faradio|faradios", 1, 1),
        ("millifarad|millifarads", 1, 1e3),
        ("uf|µf|ufd|µfd|ufds|mfd|mfds|m.f.d.|mcf|mkf|мкф|microf|microfarad|microfarads", 1, 1e6),
        ("microfaradio|microfaradios|mikrofarad|microfarad.", 1, 1e6),
        ("nf|nfd|nanofarad|nanofarads|нф", 1, 1e9),
        ("pf|pfd|picofarad|picofarads|mmf|mmfd|mmfds|µµf|uuf|µµfd|uufd|пф", 1, 1e12),
        ("micromicrofarad|micromicrofarads", 1, 1e12),
    ),
    "Ω": _table(
        "Ω",
        ("ω|ohm|ohms|ohmios|r|ом", 1, 1),
        ("kω|kohm|kohms|kilohm|kilohms|kiloohm|kr|k ohm|k ohms|k ω|kohmios|ком", 1e3, 1),
        ("megohm|megohms|megaohm|meg|megω", 1e6, 1),
        ("milliohm|milliohms|milliohmios|мом", 1, 1e3),
        ("µω|uω|µohm|uohm|microohm|microhm", 1, 1e6),
        ("gω|gohm", 1e9, 1),
    ),
    "V": _table(
        "V",
        ("v|vdc|wvdc|wv|vw|dcwv|vdcw|v=|v-|v⎓|vcc|v dc|v d.c.|v.d.c.|wvdcw|wkg v|v wkg", 1, 1),
        ("volt|volts|voltios|volt=|volt dc|volts dc|w.v.|d.c.w.v.|vn|vgl|v gl|v cc|в", 1, 1),
        ("mv|millivolt|millivolts", 1, 1e3),
        ("µv|uv|microvolt|microvolts", 1, 1e6),
        ("kv|kvdc|kilovolt|kilovolts", 1e3, 1),
    ),
    "A": _table(
        "A",
        ("a|amp|amps|ampere|amperes|amperios|adc", 1, 1),
        ("ma|madc|milliamp|milliamps|milliampere|milliamperes|miliamperios|мa", 1, 1e3),
        ("ua|µa|uadc|µadc|mca|microamp|microamps|microampere|microamperes|mikroampere", 1, 1e6),
        ("microamperios|µamp|uamp|µamps|uamps|мка", 1, 1e6),
        ("na|nanoamp|nanoamps|nanoampere", 1, 1e9),
        ("pa", 1, 1e12),
    ),
    "s": _table(
        "s",
        ("s|sec|secs|sec.|second|seconds|sek|sek.|sekunde|sekunden|s.", 1, 1),
        ("seconde|secondes|seconden|segundo|segundos|seg|seg.|secondo|secondi", 1, 1),
        ("ms|msec|millisecond|milliseconds", 1, 1e3),
        ("µs|us|microsecond|microseconds", 1, 1e6),
        ("min|mins|min.|mins.|minute|minutes|minuten|minuto|minutos|minuti|minuut|mn", 60, 1),
        ("h|hr|hrs|hr.|hrs.|hour|hours|std|std.|stunde|stunden|heure|heures", 3600, 1),
        ("hora|horas|ora|ore|uur|uren", 3600, 1),
        ("d|day|days|tag|tage|tagen|jour|jours|día|días|dia|dias|giorno|giorni", 86400, 1),
        ("dag|dagen", 86400, 1),
    ),
    "Hz": _table(
        "Hz",
        ("hz|c/s|cps|c.p.s.|cycle|cycles|hertz|cycles/s|гц", 1, 1),
        ("khz|kc|kc/s|kcs|kilocycles|k hz|кгц", 1e3, 1),
        ("mhz|mc/s|megacycles", 1e6, 1),
    ),
    "%": _table(
        "%", ("%|pct|pct.|percent|per cent|prozent|procent|% of nominal|% of rated", 1, 100)
    ),
    "°C": {
        **_table("°C", ("°c|c|degc|deg c|deg. c|° c|ºc|º c|℃|°|º|cel|celsius", 1, 1)),
        **_table("°F", ("°f|f|degf|deg f|° f|ºf|℉|fahrenheit", 1, 1)),
        **_table("K", ("k|kelvin", 1, 1)),
    },
    "a": _table(
        "a",
        ("a|y|yr|yrs|yr.|yrs.|year|years|j|jahr|jahre|jahren|an|ans|année|années", 1, 1),
        ("annee|annees|año|años|ano|anos|anno|anni|jaar|jaren|y.o.|years old", 1, 1),
        ("month|months|mth|mths|monat|monate|monaten|mois|mes|meses|mese|mesi", 1, 12),
        ("maand|maanden|mon|mo|mos", 1, 12),
        ("week|weeks|wk|wks|woche|wochen|semaine|semaines|semana|semanas", 7, 365.25),
        ("settimana|settimane|weken", 7, 365.25),
        ("d|day|days|tag|tage|tagen|jour|jours|día|días|dias|giorno|giorni|dagen", 1, 365.25),
    ),
}

_MILLI_OR_MEGA: Final = ("Ω", "ω", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS", "R", " ohm")

EXACT: Final[dict[str, dict[str, Unit]]] = {
    "F": {
        "mF": Unit("F", 1.0, 1e3, MF_MODERN, 1e6),
        **{name: Unit("F", 1.0, 1e6, MF_OLD.format(name), 1e3) for name in ("MF", "Mf", "mf")},
        "MF.": Unit("F", 1.0, 1e6, MF_OLD.format("MF"), 1e3),
    },
    "Ω": {
        **{f"m{rest}": Unit("Ω", 1.0, 1e3) for rest in _MILLI_OR_MEGA},
        **{f"M{rest}": Unit("Ω", 1e6, 1.0) for rest in _MILLI_OR_MEGA},
    },
    "A": {"MA": Unit("A", 1.0, 1e3, "MA taken as mA")},
    "s": {
        "m": Unit("s", 60.0, 1.0, "m taken as minutes"),
        "'": Unit("s", 60.0, 1.0, "' taken as minutes"),
        '"': Unit("s", 1.0, 1.0, '" taken as seconds'),
    },
    "prefix": {name: Unit("prefix", *scale) for name, scale in PREFIXES.items()},
}

ORDER: Final = ("F", "Ω", "V", "A", "Hz", "s", "%", "°C", "a")
"""Which table is asked first where the column does not say."""
