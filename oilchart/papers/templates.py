"""Templates of pages and letters, which a shop may replace by its own: filled in where they reach
nothing but the values they are given; a faulty one is told with its file and line."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Sequence
from dataclasses import is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import MappingProxyType

from jinja2 import (
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateSyntaxError,
)
from jinja2.environment import TemplateModule
from jinja2.loaders import split_template_path
from jinja2.runtime import BlockReference, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Cycler, Joiner, Namespace

REMEDY = "mend that line or take the template away"
PLAIN = (str, int, float, Fraction, date, Enum, type(None), tuple, frozenset)
COLLECTIONS = (list, dict, MappingProxyType)  # no template can change them
OF_TEMPLATES = (LoopContext, Macro, BlockReference, TemplateModule, Cycler, Joiner, Namespace)
RECORDS_IN = ("oilchart.core.", "oilchart.papers.")


class Templates(ImmutableSandboxedEnvironment):
    """Templates that see plain values: text, numbers, days, collections of them, and of frozen
    records what is plain itself; a record's methods, and what reads or reckons, they do not see."""

    def is_safe_attribute(self, obj: object, attr: str, value: object) -> bool:
        """Whether a template may look at something of a value."""
        if not super().is_safe_attribute(obj, attr, value):
            return False
        own = isinstance(obj, (*PLAIN, *COLLECTIONS, *OF_TEMPLATES))
        return own or (_is_record(obj) and _is_plain(value))


def _is_plain(value: object) -> bool:
    return isinstance(value, (*PLAIN, *COLLECTIONS)) or _is_record(value)


def _is_record(value: object) -> bool:
    """Whether a value is one of the program's frozen records."""
    return (
        is_dataclass(value)
        and type(value).__module__.startswith(RECORDS_IN)
        and bool(vars(type(value))["__dataclass_params__"].frozen)
    )


class _LeadsOutside(TemplateError):
    """A template is a link to what lies in none of the folders of templates."""


class _FilesOfFolders(FileSystemLoader):
    """Reads templates from files that lie in the folders of templates, wherever links lead."""

    def __init__(self, folders: Sequence[Path], below: str) -> None:
        # some editors begin a file with a mark
        super().__init__([folder / below for folder in folders], encoding="utf-8-sig")
        self._folders = folders

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool]]:
        """Read a template.

        Raises:
            TemplateNotFound; _LeadsOutside
        """
        searched = [Path(folder) for folder in self.searchpath]
        file = file_of(str(Path(*split_template_path(template))), searched)
        if file.is_file():
            place = file.resolve()
            if not any(place.is_relative_to(folder.resolve()) for folder in self._folders):
                raise _LeadsOutside(
                    f"{file}: leads to {place}, outside the folder of templates: "
                    "put a copy in the place of the link, or take it away"
                )
        return super().get_source(environment, template)


@cache
def environment(
    folders: tuple[Path, ...],
    cleaned: Callable[[object], object],
    *,
    autoescape: bool,
    below: str = "",
) -> Templates:
    """What fills templates in.

    Args:
        folders: an earlier one wins, file by file.
        cleaned: makes each value fit for its medium.
        autoescape: the medium is HTML.
        below: the folder in each of these in which the templates lie.
    """
    return Templates(
        loader=_FilesOfFolders(folders, below),
        autoescape=autoescape,
        undefined=StrictUndefined,
        finalize=cleaned,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def template_fault(
    error: Exception, name: str, folders: Sequence[Path], remedy: str = REMEDY
) -> str:
    """Place, fault and remedy of a template that cannot be read or filled in; the place is the last
    line of a template in work.

    Raises:
        Exception: what was raised, if no template had a part in it.
    """
    words = " ".join(str(error).split()) or type(error).__name__
    frames = [
        frame
        for frame in traceback.extract_tb(error.__traceback__)
        if frame.filename.endswith(Path(name).suffix)
    ]
    if isinstance(error, _LeadsOutside):
        return str(error)
    if isinstance(error, TemplateSyntaxError):
        return f"{error.filename or error.name}: line {error.lineno}: {error.message}: {remedy}"
    if isinstance(error, UnicodeDecodeError):
        line = error.object.count(b"\n", 0, error.start) + 1
        return f"{_file_with(error.object, folders)}: line {line}: is not UTF-8 text: {remedy}"
    # a template that is not found is both
    if isinstance(error, OSError) and not isinstance(error, TemplateError):
        return f"{error.filename}: cannot be read: {error.strerror}: see that it may be read"
    if not frames and not isinstance(error, TemplateError):
        raise error
    place = f"{frames[-1].filename}: line {frames[-1].lineno}" if frames else file_of(name, folders)
    kind = "" if isinstance(error, TemplateError) else f"{type(error).__name__}: "
    return f"{place}: {kind}{words}: {remedy}"


def file_of(name: str, folders: Sequence[Path]) -> Path:
    """The file that is taken for a template."""
    files = (folder / name for folder in folders)
    return next((file for file in files if file.is_file()), folders[-1] / name)


def _file_with(data: bytes, folders: Sequence[Path]) -> Path:
    """The file among the templates that has these bytes."""
    files = [file for folder in folders for file in sorted(folder.glob("*")) if file.is_file()]
    return next((file for file in files if file.read_bytes() == data), folders[0])
