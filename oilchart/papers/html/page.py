"""A value as one self-contained HTML page.

A page holds its one style and its one script, named by their hashes in its Content-Security-Policy;
nothing else on it may run or be fetched. No data stands inside the script: what it needs are the
page's data attributes.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from jinja2 import Environment, TemplateNotFound
from markupsafe import Markup

from oilchart.errors import FaultyList
from oilchart.papers.cleaning import printable
from oilchart.papers.drawing.colours import BLUE, COLOURS, TINTS, tint
from oilchart.papers.drawing.svg import picture_css
from oilchart.papers.templates import environment, template_fault

NO_FUNCTIONS: Mapping[str, Callable[..., object]] = MappingProxyType({})


def page(
    name: str,
    templates: Sequence[Path],
    *,
    accent: str = BLUE,
    functions: Mapping[str, Callable[..., object]] = NO_FUNCTIONS,
    **values: object,
) -> str:
    """Write a page.

    Args:
        name: of the template and of the style and script beside it: "checklist" for checklist.html,
            checklist.css and checklist.js.
        templates: folders; an earlier one wins, file by file. They can look at the values they are
            given and at nothing else.
        accent: the shop's colour, for the style to use as --accent, --accent-pale and
            --accent-full.
        functions: that put values into words; a template calls them by these names.
        values: plain ones: text, numbers, days, frozen records, and tuples and tables of these.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    try:
        return _rendered(name, templates, accent, functions, values)
    # a template can raise anything: a wrong kind of value, a division by zero, a loop without end
    except Exception as error:
        raise FaultyList([template_fault(error, f"{name}.html", templates)]) from None


def _rendered(
    name: str,
    templates: Sequence[Path],
    accent: str,
    functions: Mapping[str, Callable[..., object]],
    values: Mapping[str, object],
) -> str:
    files = environment(tuple(templates), _without_tricks, autoescape=True)
    style = "\n".join([_palette(accent), picture_css(), _as_written(files, f"{name}.css")])
    script = _as_written(files, f"{name}.js")
    return files.get_template(f"{name}.html", globals=dict(functions)).render(
        policy=f"default-src 'none'; style-src '{_sha256(style)}'; "
        f"script-src '{_sha256(script)}'; img-src data:; base-uri 'none'; form-action 'none'",
        style=Markup(style),
        script=Markup(script),
        **values,
    )


def _as_written(files: Environment, name: str) -> str:
    """A file beside the page's template, taken as it is: style and script are no templates."""
    if files.loader is None:
        raise TemplateNotFound(name)
    return files.loader.get_source(files, name)[0]


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
