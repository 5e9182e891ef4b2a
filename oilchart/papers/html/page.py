"""Knows how a value becomes one self-contained HTML page.

A page holds its one style and its one script, named by their hashes in its Content-Security-Policy;
nothing else on it may run or be fetched. No data stands inside the script: what it needs are the
page's data attributes.
"""

from __future__ import annotations

import base64
import hashlib
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from jinja2 import (
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateSyntaxError,
)
from jinja2.sandbox import SandboxedEnvironment
from markupsafe import Markup

from oilchart.errors import FaultyList
from oilchart.papers.cleaning import printable
from oilchart.papers.drawing.colours import BLUE, COLOURS, TINTS, tint
from oilchart.papers.drawing.svg import picture_css


def page(name: str, templates: Sequence[Path], *, accent: str = BLUE, **values: Any) -> str:
    """Write a page.

    Args:
        name: of the template and of the style and script beside it: "checklist" for checklist.html,
            checklist.css and checklist.js.
        templates: folders; an earlier one wins, file by file. They can look at the values they are
            given and at nothing else.
        accent: the shop's colour, for the style to use as --accent, --accent-pale and
            --accent-full.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    try:
        return _rendered(name, templates, accent, values)
    # a template can raise anything: a wrong kind of value, a division by zero, a loop without end
    except Exception as error:
        raise FaultyList([_template_fault(error, templates)]) from None


def _rendered(name: str, templates: Sequence[Path], accent: str, values: dict[str, Any]) -> str:
    library = SandboxedEnvironment(
        loader=FileSystemLoader(templates),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_without_tricks,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    style = "\n".join([_palette(accent), picture_css(), _as_written(library, f"{name}.css")])
    script = _as_written(library, f"{name}.js")
    return library.get_template(f"{name}.html").render(
        policy=f"default-src 'none'; style-src '{_sha256(style)}'; script-src '{_sha256(script)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'",
        style=Markup(style),
        script=Markup(script),
        **values,
    )


def _template_fault(error: Exception, templates: Sequence[Path]) -> str:
    """Where a template is faulty: the last line of a template that was being read or filled in.

    Raises:
        Exception: what was raised, if no template had a part in it.
    """
    words = " ".join(str(error).split()) or type(error).__name__
    frames = [
        frame
        for frame in traceback.extract_tb(error.__traceback__)
        if frame.filename.endswith(".html")
    ]
    if isinstance(error, TemplateSyntaxError):
        place, words = f"{error.filename or error.name}: line {error.lineno}", str(error.message)
    elif isinstance(error, UnicodeDecodeError):
        line = error.object.count(b"\n", 0, error.start) + 1
        place, words = f"{_file_of(error.object, templates)}: line {line}", "is not UTF-8 text"
    elif frames:
        place = f"{frames[-1].filename}: line {frames[-1].lineno}"
    elif isinstance(error, TemplateError):
        place = "templates"
    else:
        raise error
    return f"{place}: {words}: mend that line or take the template away"


def _file_of(data: bytes, templates: Sequence[Path]) -> Path:
    """The file among the templates that has these bytes."""
    files = [file for folder in templates for file in sorted(folder.glob("*")) if file.is_file()]
    return next((file for file in files if file.read_bytes() == data), templates[0])


def _as_written(library: Environment, name: str) -> str:
    """A file beside the page's template, taken as it is: style and script are no templates."""
    assert library.loader is not None
    return library.loader.get_source(library, name)[0]


def _without_tricks(value: object) -> object:
    """Text composed, and without the control and direction characters that could turn a line of the
    page round."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return printable(value)


def _palette(accent: str) -> str:
    """The papers' colours under their names, for the style to use."""
    colours = (
        COLOURS
        | {"accent": accent}
        | {f"accent-{name}": tint(accent, share) for name, share in TINTS.items()}
    )
    return f":root {{ {' '.join(f'--{name}: {value};' for name, value in colours.items())} }}"


def _sha256(block: str) -> str:
    """How a policy names a block of style or script."""
    return f"sha256-{base64.b64encode(hashlib.sha256(block.encode()).digest()).decode()}"
