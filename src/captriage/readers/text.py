"""From the bytes of a file to text: what it may be, how large, and in which encoding."""

from __future__ import annotations

import codecs
import re
from pathlib import Path
from typing import Final

from captriage.errors import ReadingsError

MAX_BYTES: Final = 256 * 1024 * 1024
MAX_LINE: Final = 100_000
"""Longest line, in characters, that is taken for a line of a sheet."""

FIRST_LOOK: Final = 1024 * 1024

_SIGNATURES: Final = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"\xd0\xcf\x11\xe0", "an old binary workbook (.xls)"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"SQLite format 3", "a database"),
    (b"\x7fELF", "a program"),
    (b"{\\rtf", "an RTF document"),
)

# Letters of Mac Roman that are control signs or rare in Windows-1252, and the reverse.
_MAC_LETTERS: Final = re.compile(rb"[\x8a\x8d\x8e\x8f\x90\x9a\x9d\x9f]|[(\[mkM]\xbd")
_WINDOWS_LETTERS: Final = re.compile(rb"[\xb0\xb2\xc4\xd6\xdc\xdf\xe0-\xf0\xf2-\xff]")
_DOS_MICRO: Final = re.compile(rb"\xe6[FAVH]\b")


def read_bytes(path: Path, *, name: str) -> bytes:
    """Bytes of a file that may be a sheet.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What messages call it.

    Raises
    ------
    ReadingsError
        Missing, a directory, unreadable, empty, larger than :data:`MAX_BYTES`, no line end
        within the first :data:`FIRST_LOOK` bytes, or of a kind that is no sheet.
    """
    try:
        if path.is_dir():
            raise ReadingsError(f"{name}: is a directory; name the sheets in it one by one")
        if not path.exists():
            raise ReadingsError(f"{name}: no such file; check the name and the folder")
        if not path.is_file():
            raise ReadingsError(f"{name}: is not a regular file; save the sheet to disk first")
        size = path.stat().st_size
        with path.open("rb") as stream:
            data = stream.read(FIRST_LOOK)
            _refuse_what_is_no_sheet(data, name)
            if size > len(data) == FIRST_LOOK and not re.search(rb"[\r\n]", data):
                raise ReadingsError(
                    f"{name}: no line end in the first {FIRST_LOOK} bytes; "
                    "a sheet has one row a line: export it again as CSV"
                )
            if size > MAX_BYTES:
                raise ReadingsError(
                    f"{name}: {size / 1024**2:.0f} MB; at most {MAX_BYTES // 1024**2} MB is read "
                    "at once: split the sheet"
                )
            return data + stream.read(MAX_BYTES)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ReadingsError(
            f"{name}: cannot be read ({reason}); check its permissions and try again"
        ) from error


def _refuse_what_is_no_sheet(data: bytes, name: str) -> None:
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise ReadingsError(f"{name}: empty; a sheet needs a row of headings and a row of readings")
    for signature, kind in _SIGNATURES:
        if data.startswith(signature):
            raise ReadingsError(f"{name}: {kind}, not a sheet; save the sheet as CSV or XLSX")


def is_zip(data: bytes) -> bool:
    """Whether the bytes are a ZIP container, as every XLSX workbook is."""
    return data.startswith(b"PK\x03\x04")


def decode(data: bytes, *, name: str) -> str:
    r"""Text of a sheet, with ``\n`` line ends, no byte-order mark and no NUL.

    UTF-8, UTF-16 and UTF-32 with or without mark are recognised; what is none of these is
    taken as Windows-1252, or Mac Roman or code page 437 where letters show it: the micro
    sign is B5 in the first two and E6 in the last.

    Raises
    ------
    ReadingsError
        More than one character in fifty is a control sign: this is no text.
    """
    text = _decoded(data)
    controls = len(_CONTROL.findall(text[:FIRST_LOOK]))
    if controls > max(2, len(text[:FIRST_LOOK]) // 50):
        raise ReadingsError(f"{name}: holds control signs, not text; save the sheet as CSV or XLSX")
    if "\x00" in text:
        text = text.replace("\x00", "")
    if "\r" in text:
        text = text.replace("\r\r\n", "\n").replace("\r\n", "\n").replace("\r", "\n")
    return text.removeprefix("\ufeff")


# NUL is no sign of a binary file here: loggers that were cut off pad their file with it.
_CONTROL: Final = re.compile(r"[\x01-\x08\x0e-\x1a\x1c-\x1f\x7f]")


def _decoded(data: bytes) -> str:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF32_LE, "utf-32"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    wide = _utf16_without_mark(data)
    if wide:
        return data.decode(wide, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.reason == "unexpected end of data" and error.start >= len(data) - 3:
            return data[: error.start].decode("utf-8")
    return _single_byte(data)


def _utf16_without_mark(data: bytes) -> str:
    sample = data[:4096]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    half = max(len(sample) // 2, 1)
    if odd > 0.6 * half and even < 0.1 * half:
        return "utf-16-le"
    if even > 0.6 * half and odd < 0.1 * half:
        return "utf-16-be"
    return ""


def _single_byte(data: bytes) -> str:
    if _DOS_MICRO.search(data):
        return data.decode("cp437")
    mac = len(_MAC_LETTERS.findall(data))
    old_mac_lines = b"\r" in data and b"\n" not in data
    if mac and (old_mac_lines or not _WINDOWS_LETTERS.search(data)):
        return data.decode("mac_roman")
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        return data.decode("latin-1")
