"""Reads a tagged PDF from outside, by other programs than the one that wrote it, and says what is
wrong with it.

Each check gives a list of faults, empty as it should be. Roles and attributes: ISO 32000-1:2008,
14.7 and 14.8; what must hold beyond
them: ISO 14289-1:2014 (PDF/UA-1), 7. No check here, nor all of them together, shows that a file
conforms to that standard.
"""

from __future__ import annotations

import ctypes
import io
import re
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pdfua
import pikepdf
import pypdfium2

from tests.builders.ink_checks import words_in
from tests.builders.outside import need

# The papers claim no standard, so they do not carry the mark of one; this rule misses it.
CLAIM = "UA-28-004"
# Where a heading has several kids this rule fails by itself; `tree_faults` finds headings without
# words too.
FAILS_ITSELF = (
    "UA-14-001: rule raised ValueError: pikepdf.Object is not a Dictionary or Stream: "
    "cannot get key '/is_integer'"
)
INK = frozenset(
    [
        *["Tj", "TJ", "'", '"', "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "Do"],
        "INLINE IMAGE",
    ]
)
PARENTS = {  # where a part may stand; all others stand anywhere
    "LI": {"L"},
    "Lbl": {"LI"},
    "LBody": {"LI"},
    "TR": {"Table"},
    "TH": {"TR"},
    "TD": {"TR"},
}
# what alone stands in it
KIDS = {"L": {"LI"}, "LI": {"Lbl", "LBody"}, "Table": {"TR"}, "TR": {"TH", "TD"}}
WORDLESS = {"Document", "Sect", *KIDS}  # hold parts only
HOLD_WORDS = {"P", "H1", "H2", "H3", "Lbl", "LBody", "TH", "TD", "Figure", "Span"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A part as a reader finds it.

    Args:
        words: with those of its kids, in the order they are read.
        page: on which it begins, counted from 0; None if it has no ink.
        marks: how many of its own.
        level: how many sections with a title it is in.
    """

    role: str
    words: str
    alt: str
    title: str
    page: int | None
    marks: int
    level: int
    kids: tuple[Node, ...]
    attributes: dict[str, Any]

    def all(self) -> Iterator[Node]:
        """It and all below it, in the order they are read."""
        yield self
        for kid in self.kids:
            yield from kid.all()

    def of(self, *roles: str) -> list[Node]:
        """All parts of these roles."""
        return [node for node in self.all() if node.role in roles]


def tree_of(pdf: bytes, page: int | None = None) -> Node:
    """The whole tree, with the words of each part; or only those that stand on a page, counted from
    0."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        roots = list(document.Root.StructTreeRoot.K)
        assert len(roots) == 1
        pages = {page.obj.objgen: at for at, page in enumerate(document.pages)}
        words = {
            mark: said for mark, said in _words_by_mark(pdf).items() if page in (None, mark[0])
        }
        return _node(roots[0], 0, pages, words)


def _node(
    element: Any, level: int, pages: dict[Any, int], words: dict[tuple[int, int], str]
) -> Node:
    title = str(element.get("/T", ""))
    said: list[str] = []
    kids: list[Node] = []
    marks = [mark for mark in marks_of(element, pages) if not isinstance(mark, pikepdf.Dictionary)]
    for each in marks_of(element, pages):
        if isinstance(each, pikepdf.Dictionary):
            kids.append(_node(each, level + bool(title), pages, words))
            said.append(kids[-1].words)
        else:
            said.append(words.get(each, ""))
    began = [page for page, _ in marks] + [kid.page for kid in kids if kid.page is not None]
    return Node(
        role=str(element.S).removeprefix("/"),
        words=str(element.get("/ActualText", ""))
        if any(said) and "/ActualText" in element
        else "".join(said),
        alt=str(element.get("/Alt", "")),
        title=title,
        page=min(began, default=None),
        marks=len(marks),
        level=level,
        kids=tuple(kids),
        attributes={
            str(name).removeprefix("/"): value
            for name, value in dict(element.get("/A", {})).items()
        },
    )


def marks_of(element: Any, pages: dict[Any, int]) -> list[Any]:
    """What an element holds, in order: elements, and marks as pairs of page and number."""
    kids = element.get("/K", pikepdf.Array())
    found: list[Any] = []
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, int):
            found.append((pages[element.Pg.objgen], kid))
        elif kid.get("/Type") == "/MCR":
            found.append((pages[kid.Pg.objgen], int(kid.MCID)))
        else:
            found.append(kid)
    return found


def _words_by_mark(pdf: bytes) -> dict[tuple[int, int], str]:
    """The words of each mark, by page and number, as pdfium reads them."""
    raw = pypdfium2.raw
    words: dict[tuple[int, int], str] = {}
    document = pypdfium2.PdfDocument(pdf)
    for at, page in enumerate(document):
        text_page = page.get_textpage()
        for found in page.get_objects([raw.FPDF_PAGEOBJ_TEXT]):
            size = raw.FPDFTextObj_GetText(found.raw, text_page.raw, None, 0)
            letters = ctypes.create_string_buffer(size)
            raw.FPDFTextObj_GetText(
                found.raw, text_page.raw, ctypes.cast(letters, ctypes.POINTER(raw.FPDF_WCHAR)), size
            )
            mark = at, int(raw.FPDFPageObj_GetMarkedContentID(found.raw))
            words[mark] = words.get(mark, "") + letters.raw.decode("utf-16-le").rstrip("\x00")
        text_page.close()
    document.close()
    return words


def qpdf_faults(pdf: bytes) -> list[str]:
    """What qpdf finds in the syntax of the file."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        Path(file.name).write_bytes(pdf)
        done = subprocess.run(
            [need("qpdf"), "--check", file.name], capture_output=True, text=True, check=False
        )
    return [] if done.returncode == 0 else (done.stdout + done.stderr).splitlines()


def rule_faults(pdf: bytes) -> list[str]:
    """What the rules of pdfua find; a rule that could not be tried is a fault too."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        Path(file.name).write_bytes(pdf)
        outcomes = pdfua.validate(file.name).outcomes
    skipped = [
        f"{outcome.rule_id}: {outcome.skipped_reason}"
        for outcome in outcomes
        if outcome.skipped_reason
    ]
    found = [
        f"{each.rule_id}: {each.message}"
        for outcome in outcomes
        for each in outcome.findings
        if each.rule_id != CLAIM
    ]
    skipped = [reason for reason in skipped if not reason.startswith(FAILS_ITSELF)]
    return [*skipped, *found, *([] if outcomes else ["no rule was tried"])]


def mark_faults(pdf: bytes) -> list[str]:
    """Ink that is neither tagged nor decoration, and marks that do not lead to their part and
    back."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        pages = {page.obj.objgen: at for at, page in enumerate(document.pages)}
        parts = dict(_marked(document.Root.StructTreeRoot.K[0], pages))
        numbers = list(document.Root.StructTreeRoot.ParentTree.Nums)
        back = {
            int(key): list(elements)
            for key, elements in zip(numbers[::2], numbers[1::2], strict=True)
        }
        faults = []
        for at, page in enumerate(document.pages):
            drawn, unmarked = _drawn_marks(page)
            faults += [f"page {at + 1}: {what}" for what in unmarked]
            faults += (
                [f"page {at + 1}: its marks are {drawn}"]
                if drawn != list(range(len(drawn)))
                else []
            )
            faults += [
                f"page {at + 1}: mark {number} is in no part"
                for number in drawn
                if (at, number) not in parts
            ]
            here = back.get(int(page.obj.get("/StructParents", -1)), [])
            if [each.objgen for each in here] != [
                parts[at, number].objgen for number in drawn if (at, number) in parts
            ]:
                faults.append(f"page {at + 1}: its marks do not lead back to their parts")
            if page.obj.get("/Tabs") != "/S":
                faults.append(f"page {at + 1}: is not stepped through by its structure")
        return faults


def _marked(element: Any, pages: dict[Any, int]) -> Iterator[tuple[tuple[int, int], Any]]:
    """Each mark with its part."""
    for each in marks_of(element, pages):
        if isinstance(each, pikepdf.Dictionary):
            yield from _marked(each, pages)
        else:
            yield each, element


def _drawn_marks(page: Any) -> tuple[list[int], list[str]]:
    """The numbers of the marks on a page, and its ink that is in none."""
    open_marks: list[int | None] = []
    drawn: list[int] = []
    faults: list[str] = []
    for step in pikepdf.parse_content_stream(page):
        operator = str(step.operator)
        if operator in ("BDC", "BMC"):
            faults += ["a mark in a mark"] if open_marks else []
            kind = step.operands[0]
            open_marks.append(None if kind == "/Artifact" else int(step.operands[1].MCID))
            drawn += [] if kind == "/Artifact" else [int(step.operands[1].MCID)]
        elif operator == "EMC":
            open_marks.pop()
        elif operator in INK and not open_marks:
            faults.append(f"{operator} outside of all marks")
    return drawn, [*faults, *(["a mark that does not end"] if open_marks else [])]


def tree_faults(pdf: bytes) -> list[str]:
    """Parts that stand where they may not, headings that leave out a level or say nothing."""
    tree = tree_of(pdf)
    faults = [] if tree.role == "Document" else [f"the whole is a {tree.role}"]
    for node in tree.all():
        faults += (
            [f"{node.role} is no part known here"] if node.role not in WORDLESS | HOLD_WORDS else []
        )
        faults += (
            [f"{node.role} holds words of its own"] if node.role in WORDLESS and node.marks else []
        )
        for kid in node.kids:
            if node.role not in PARENTS.get(kid.role, {node.role}) or kid.role not in KIDS.get(
                node.role, {kid.role}
            ):
                faults.append(f"{kid.role} in {node.role}")
    sections = tree.of("Sect") or [tree]
    return [*faults, *(fault for section in sections for fault in _heading_faults(section))]


def _heading_faults(section: Node) -> list[str]:
    headings = section.of("H1", "H2", "H3")
    levels = [0, *(int(heading.role[1]) for heading in headings)]
    skipped = [
        f"{heading.role} “{heading.words}” under level {before}"
        for heading, before in zip(headings, levels, strict=False)
        if int(heading.role[1]) > before + 1
    ]
    blank = [f"a {heading.role} without words" for heading in headings if not heading.words.strip()]
    return [*skipped, *blank, *([] if headings else ["no heading"])]


def table_faults(pdf: bytes) -> list[str]:
    """Tables without headers that say of what they are the headers, and rows of unlike width."""
    faults = []
    for table in tree_of(pdf).of("Table"):
        headers = table.of("TH")
        faults += [] if headers else ["a table without headers"]
        faults += [
            f"header “{cell.words}” of nothing"
            for cell in headers
            if cell.attributes.get("Scope") not in ("/Column", "/Row")
        ]
        wide = {
            sum(int(cell.attributes.get("ColSpan", 1)) for cell in row.kids) for row in table.kids
        }
        faults += [f"rows of {sorted(wide)} cells"] if len(wide) > 1 else []
    return faults


def drawing_faults(pdf: bytes, points: Sequence[str]) -> list[str]:
    """Drawings of which nothing is said, or not every number that stands on them, or not where they
    lie; points that none names."""
    drawings = tree_of(pdf).of("Figure")
    faults = [
        f"a drawing on page {drawing.page} says nothing"
        for drawing in drawings
        if not drawing.alt.strip()
    ]
    for drawing in drawings:
        untold = set(re.findall(r"\w+", drawing.words)) - set(re.findall(r"\w+", drawing.alt))
        faults += [f"“{drawing.alt}” does not tell of {sorted(untold)}"] if untold else []
        faults += (
            []
            if len(drawing.attributes.get("BBox", [])) == 4
            else [f"“{drawing.alt}” lies nowhere"]
        )
    return [
        *faults,
        *(
            f"no drawing names {point}"
            for point in points
            if not any(point in drawing.alt for drawing in drawings)
        ),
    ]


def about_faults(pdf: bytes, title: str, language: str) -> list[str]:
    """A title or a language that is not what it should be, in either of the places where it is
    said."""
    with pikepdf.open(io.BytesIO(pdf)) as document, document.open_metadata() as said:
        preferences: Any = document.Root.get("/ViewerPreferences", {})
        found = {
            "title": (str(document.docinfo.get("/Title", "")), title),
            "title in XMP": (str(said.get("dc:title", "")), title),
            "language": (str(document.Root.get("/Lang", "")), language),
            "language in XMP": (str([*said.get("dc:language", [])]), str([language])),
            "window": (str(preferences.get("/DisplayDocTitle", False)), "True"),
            "claim": (str(said.get("pdfuaid:part", "none")), "none"),
        }
    return [
        f"{what}: {is_so!r}, not {should!r}"
        for what, (is_so, should) in found.items()
        if is_so != should
    ]


def bookmark_faults(pdf: bytes) -> list[str]:
    """Bookmarks that are not the headings, in their order and depth, on their pages."""
    wanted = [
        (
            int(node.role[1]) - 1 + node.level if node.role != "Sect" else node.level,
            node.title or " ".join(node.words.split()),
            node.page,
        )
        for node in tree_of(pdf).all()
        if node.role in ("H1", "H2", "H3") or node.title
    ]
    with pikepdf.open(io.BytesIO(pdf)) as document, document.open_outline() as outline:
        pages = {page.obj.objgen: at for at, page in enumerate(document.pages)}
        found = list(_bookmarks(document, outline.root, 0, pages))
    return [f"bookmarks {found}, headings {wanted}"] if found != wanted or not wanted else []


def _bookmarks(
    document: Any, items: Any, level: int, pages: dict[Any, int]
) -> Iterator[tuple[int, str, int]]:
    for item in items:
        where = item.destination
        if isinstance(where, pikepdf.Name | pikepdf.String):
            where = document.Root.Dests[str(where)]
        yield level, item.title, pages[where[0].objgen]
        yield from _bookmarks(document, item.children, level + 1, pages)


def order_faults(pdf: bytes, landmarks: Sequence[str]) -> list[str]:
    """Words that are not met in their order: in the tree, by a program that takes the words out,
    and by another that reads the tree."""
    readings = {"tree": tree_of(pdf).words, "text": words_in(pdf), "poppler": _poppler_words(pdf)}
    faults = []
    for reading, words in readings.items():
        words, at = " ".join(words.split()), 0
        for landmark in landmarks:
            next_at = words.find(landmark, at)
            faults += (
                [f"{reading}: “{landmark}” is not read after what stands before it"]
                if next_at < 0
                else []
            )
            at = max(at, next_at)
    return faults


def _poppler_words(pdf: bytes) -> str:
    """The words of the tree, as poppler reads it."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        Path(file.name).write_bytes(pdf)
        done = subprocess.run(
            [need("pdfinfo"), "-struct-text", file.name], capture_output=True, check=True
        )
    return "".join(re.findall(r'^ *"(.*)"$', done.stdout.decode(errors="replace"), re.MULTILINE))


def font_faults(pdf: bytes) -> list[str]:
    """Fonts that are not in the file."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        fonts = [
            font for page in document.pages for font in page.Resources.get("/Font", {}).values()
        ]
        single = [one for font in fonts for one in font.get("/DescendantFonts", [font])]
        return [str(font.get("/BaseFont")) for font in single if not _is_embedded(font)] or (
            [] if fonts else ["no font at all"]
        )


def _is_embedded(font: Any) -> bool:
    return any(
        name in font.get("/FontDescriptor", {})
        for name in ("/FontFile", "/FontFile2", "/FontFile3")
    )
