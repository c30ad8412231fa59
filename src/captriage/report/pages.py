"""Self-contained pages: templates that escape what sheets say, one style, nothing to load."""

from __future__ import annotations

import base64
import hashlib
import math
import re
from functools import cache
from importlib.resources import files
from typing import Final, TextIO

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from captriage import __version__
from captriage.report.figures import percent, unbroken

OPTION: Final = re.compile(r"(?<!\S)--[a-z]+(?:-[a-z]+)*")


@cache
def environment() -> Environment:
    """Templates of the reports; text is escaped, and a name that is missing is an error."""
    made = Environment(
        loader=PackageLoader("captriage.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters["unbroken"] = unbroken
    made.filters["whole_options"] = whole_options
    made.filters["percent"] = lambda share: percent(math.nan if share is None else share)
    return made


def whole_options(text: str) -> Markup:
    """Text whose numbers keep their units, and whose options are not parted at their hyphens."""
    return Markup(OPTION.sub(r'<span class="nowrap">\g<0></span>', str(escape(unbroken(text)))))  # noqa: S704


def write_page(template: str, out: TextIO, **content: object) -> None:
    """Write one page; its policy allows the style that is in it and nothing else.

    Parameters
    ----------
    template : str
        File in ``templates``.
    out : TextIO
        Where the page goes.
    **content
        What the template names.
    """
    style = (files("captriage.report") / "templates" / "page.css").read_text("utf-8")
    style_hash = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    for piece in (
        environment()
        .get_template(template)
        .generate(
            style=Markup(style),  # noqa: S704 - our own file
            style_hash=style_hash,
            version=__version__,
            **content,
        )
    ):
        out.write(piece)
