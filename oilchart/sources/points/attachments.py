"""How a model's wear parts and documents are written."""

from __future__ import annotations

from pathlib import Path

from oilchart.core.point_lists.point_list import Document, WearPart
from oilchart.sources.files.toml_table import Table, lies_within, shown
from oilchart.sources.points.mechanisms import check_things
from oilchart.sources.points.points import read_id
from oilchart.sources.points.reference import Reference


def read_wear_parts(table: Table, reference: Reference) -> tuple[WearPart, ...]:
    """Read the parts of a model that age."""
    parts = []
    for item in table.tables("wear", lambda at, item: f"wear part {shown(item.get('id', at))}"):
        parts.append(
            WearPart(
                id=read_id(item),
                name=item.text("name"),
                part=item.text("part"),
                replace_years=item.whole("replace_years"),
                replace_hours=item.whole("replace_hours"),
                stock_minimum=item.whole("stock_minimum"),
                source=item.known_text("source", reference.source_keys, "source"),
                having=item.words("having"),
            )
        )
        price = item.raw("price")
        if price is not None:  # lists of a shop's own may have it from before
            item.doubt("price", price, "is shown on no paper", "take it out")
        check_things(item, "having", parts[-1].having, reference)
        item.finish()
    return tuple(parts)


def read_documents(table: Table, home: Path) -> tuple[Document, ...]:
    """Read the manuals of a model, each an address or a file of the points folder `home`."""
    documents = []
    for item in table.tables(
        "document", lambda at, item: f"document {shown(item.get('title', at))}"
    ):
        title, path, address = item.text("title"), item.optional("path"), item.optional("address")
        if (path is None) == (address is None):
            item.missing(
                "path", 'a document has a path or an address: path = "manuals/heron-3.pdf"'
            )
        elif path is not None:
            file = (home / path).resolve()
            if not lies_within(home / path, home):
                item.fault(
                    "path",
                    path,
                    "lies outside of the points folder",
                    "put the file into it and write its name",
                )
            elif not file.is_file():
                item.fault(
                    "path", path, "there is no such file", f"put it at {file}, or mend the path"
                )
            documents.append(Document(title=title, address=file.as_uri()))
        elif address is not None and not address.startswith(("https://", "http://")):
            item.fault(
                "address",
                address,
                "is no address of a page",
                'write it from "https://" on, or use path = "..."',
            )
        else:
            documents.append(Document(title=title, address=address or ""))
        item.finish()
    return tuple(documents)
