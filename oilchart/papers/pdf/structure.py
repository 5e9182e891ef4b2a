"""Knows how the structure of a PDF, and what it says of itself, are written as the objects of the
file; it claims no standard.

Source: ISO 32000-1:2008, 14.7 logical structure, 14.8.5 standard structure attributes, 14.3.2
metadata streams.
"""

from __future__ import annotations

from collections.abc import Sequence
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

_ROOT = "parts"


def write_tree(document: Any, root: Element, marks: Sequence[Sequence[Element]]) -> None:
    """Give a reportlab document its structure.

    Args:
        marks: for each page the element of each of its marks.
    """
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


def key_page(page: Any, number: int) -> None:
    """Give a finished page of reportlab the number under which its marks are found, and its order
    of tabbing."""
    page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
    page.StructParents = number
    page.Tabs = PDFName("S")


def about(*, title: str, author: str, subject: str, language: str) -> XMP:
    """What a PDF says of itself, as an XMP packet."""
    said = [
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>',
        f'<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{escape(subject)}</rdf:li></rdf:Alt></dc:description>',
        *(
            [f"<dc:creator><rdf:Seq><rdf:li>{escape(author)}</rdf:li></rdf:Seq></dc:creator>"]
            if author
            else []
        ),
        f"<dc:language><rdf:Bag><rdf:li>{escape(language)}</rdf:li></rdf:Bag></dc:language>",
    ]
    packet = "\n".join(
        [
            '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
            '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
            '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">',
            *said,
            "</rdf:Description></rdf:RDF></x:xmpmeta>",
            '<?xpacket end="r"?>',
        ]
    )
    return XMP(creator=lambda document: packet.encode())


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
