"""The settings of a shop's papers: the table [paper] of shop.toml, and the logo it names."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from oilchart import bounds
from oilchart.core.records.paper_style import Accent, CardSize, CodeFor, Logo, PaperStyle
from oilchart.errors import FaultyList
from oilchart.sources.files.photos import PhotoFile
from oilchart.sources.files.toml_table import Table, lies_within

STARTING_PAPER = """
[paper]
size = "a5"                   # of care cards: a5, half-letter, a6, 4x6; a4 and letter are large print
colour = "blue"               # of headings and frames: blue, green, plum, brown, black
code = "phone"                # what a telephone's camera reads: phone, calendar (the day that is booked), none
# logo = "logo.png"           # a JPEG or PNG in this folder
# footer = ""                 # a line of your own at the foot of cards, records, letters and checklists
fallback_fonts = []           # TrueType files for letters that the papers' own type has not got: ["fonts/NAME.ttf"]
"""  # noqa: E501 - its lines are as long as the file's


def read_paper(table: Table, folder: Path) -> PaperStyle:
    """Read the table [paper]; what is wrong in it is added to the table's faults."""
    default = PaperStyle()
    style = PaperStyle(
        size=table.choice("size", CardSize, default=default.size) or default.size,
        colour=table.choice("colour", Accent, default=default.colour) or default.colour,
        code=table.choice("code", CodeFor, default=default.code) or default.code,
        logo=_logo(table, folder),
        footer=_footer(table),
    )
    table.finish()
    return style


def _footer(table: Table) -> str:
    words = "" if table.raw("footer") == "" else table.optional("footer") or ""
    if len(words) > bounds.FOOTER_LETTERS:
        table.fault(
            "footer", words, f"is longer than {bounds.FOOTER_LETTERS} letters", "shorten it"
        )
    return words


def _logo(table: Table, folder: Path) -> Logo | None:
    """The logo, whose file must lie in the shop's folder and be a picture that can be read."""
    name = table.optional("logo")
    if not name:
        return None
    path = folder / name
    if not lies_within(path, folder):
        table.fault(
            "logo",
            name,
            "lies outside the shop's folder",
            "put the picture into the folder and write its name",
        )
        return None
    photo = _LogoFile(PhotoFile(path))
    try:
        width, height = photo.file.size
    except FaultyList as error:
        wrong = error.faults[0].removeprefix(f"{path}: ")
        table.fault("logo", name, f"cannot be used: {wrong}", "write the name of a JPEG or PNG")
        return None
    return Logo(photo=photo, width=width, height=height)


class _LogoFile:
    """A logo, which is read once however many cards it stands on."""

    def __init__(self, file: PhotoFile) -> None:
        self.file = file

    @cached_property
    def _jpeg(self) -> bytes:
        return self.file.jpeg()

    def jpeg(self) -> bytes:
        """The picture as the bytes of a JPEG file."""
        return self._jpeg
