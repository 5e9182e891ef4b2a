"""The structure of a PDF, and what it says of itself, written as the objects of the file.

No standard is claimed. What is used here of reportlab's canvas and document is its own: its version
is held for that reason.

Source: ISO 32000-1:2008, 14.7 logical structure, 14.8.5 standard structure attributes, 14.3.2
metadata streams.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from reportlab.pdfbase.pdfdoc import (
    XMP,
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFObjectReference,
    PDFString,
)

from oilchart.papers.pdf.structure_parts import Element, Mark, Part

LANGUAGE = "en-GB"  # of all papers
_ROOT = "parts"


def write_tree(canvas: Any, root: Element, marks: Sequence[Sequence[Element]]) -> None:
    """Give the document of a reportlab canvas its structure.

    Args:
        marks: for each page the element of each of its marks.
    """
    document = canvas._doc
    names = {element: f"part{at}" for at, element in enumerate(root.all())}
    for element in names:
        document.Reference(_dictionary(element, names), names[element])
    of_marks: list[Any] = []
    for page, elements in enumerate(marks):
        of_marks += [page, PDFArray([_to(names[element]) for element in elements])]
    tree = {
        "Type": PDFName("StructTreeRoot"),
        "K": PDFArray([_to(names[root])]),
        "ParentTree": PDFDictionary({"Nums": PDFArray(of_marks)}),
        "ParentTreeNextKey": len(marks),
    }
    document.Reference(PDFDictionary(tree), _ROOT)
    document.Catalog.StructTreeRoot = _to(_ROOT)
    document.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})


def write_operator(canvas: Any, operator: str) -> None:
    """Put an operator between what the canvas draws."""
    canvas._code.append(operator)


def key_page(canvas: Any, number: int) -> None:
    """Give the page just ended the number of its marks, and its order of tabbing."""
    page = canvas._doc.Pages.pages[-1]
    page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
    page.StructParents = number
    page.Tabs = PDFName("S")


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentInfo:
    """What a PDF says of itself; the author is empty where it has none."""

    title: str
    author: str
    subject: str


def write_info(canvas: Any, info: DocumentInfo) -> None:
    """Let a canvas's document say of itself what it is, as an XMP packet."""
    said = [_in_english("title", info.title), _in_english("description", info.subject)]
    if info.author:
        author = escape(info.author)
        said.append(f"<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>")
    said.append(f"<dc:language><rdf:Bag><rdf:li>{LANGUAGE}</rdf:li></rdf:Bag></dc:language>")
    packet = "\n".join(
        [
            '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
            '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
            '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
            '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">',
            *said,
            "</rdf:Description></rdf:RDF></x:xmpmeta>",
            '<?xpacket end="r"?>',
        ]
    )
    canvas._doc.Catalog.Metadata = XMP(creator=lambda document: packet.encode())


def _in_english(name: str, words: str) -> str:
    """Words of the packet that could have other languages beside them."""
    item = f'<rdf:li xml:lang="x-default">{escape(words)}</rdf:li>'
    return f"<dc:{name}><rdf:Alt>{item}</rdf:Alt></dc:{name}>"


def _dictionary(element: Element, names: dict[Element, str]) -> PDFDictionary:
    """An element as PDF has it; a mark on the element's own page is its bare number."""
    part = element.part
    own = next((kid.page for kid in element.read if isinstance(kid, Mark)), None)
    kids: list[Any] = []
    for kid in element.read:
        if isinstance(kid, Element):
            kids.append(_to(names[kid]))
        elif kid.page == own:
            kids.append(kid.number)
        else:
            kids.append(
                PDFDictionary({"Type": PDFName("MCR"), "Pg": _page(kid.page), "MCID": kid.number})
            )
    parent = _ROOT if element.parent is None else names[element.parent]
    values: dict[str, Any] = {
        "Type": PDFName("StructElem"),
        "S": PDFName(part.role),
        "P": _to(parent),
    }
    if kids:
        values["K"] = kids[0] if len(kids) == 1 else PDFArray(kids)
    if own is not None:
        values["Pg"] = _page(own)
    if part.title:
        values["T"] = PDFString(part.title)
    if part.alt:
        values["Alt"] = PDFString(part.alt)
    if part.read_as:
        values["ActualText"] = PDFString(part.read_as)
    attributes = _attributes(part)
    if attributes:
        values["A"] = PDFDictionary(attributes)
    return PDFDictionary(values)


def _attributes(part: Part) -> dict[str, Any]:
    """A part's attributes, under the name of the standard's group that they belong to."""
    if part.box:
        return {"O": PDFName("Layout"), "BBox": PDFArray([round(side, 2) for side in part.box])}
    if part.numbering:
        return {"O": PDFName("List"), "ListNumbering": PDFName(part.numbering)}
    table: dict[str, Any] = {}
    if part.scope:
        table["Scope"] = PDFName(part.scope)
    if part.across > 1:
        table["ColSpan"] = part.across
    return {"O": PDFName("Table"), **table} if table else {}


def _to(name: str) -> PDFObjectReference:
    return PDFObjectReference(name)


def _page(at: int) -> PDFObjectReference:
    """A page, counted from 0, under reportlab's name for it."""
    return PDFObjectReference(f"Page{at + 1}")
