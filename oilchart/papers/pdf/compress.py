"""The finished pages of a long file, packed at once so that they take little room.

reportlab keeps it unpacked until the file is written, and then beside the file. The finished page
and its stream are reportlab's own: its version is held for that reason.
"""

from __future__ import annotations

import zlib
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFStream


def pack_page(canvas: Any) -> None:
    """Pack the page that a reportlab canvas has just ended."""
    page = canvas._doc.Pages.pages[-1]
    page.Contents = _Packed(
        PDFDictionary({"Filter": PDFArray([PDFName("FlateDecode")])}),
        zlib.compress(page.stream.encode()),
    )
    page.stream = None


class _Packed(PDFStream):  # type: ignore[misc]  # the library has no types
    """What is on a page, which is given up once it is written."""

    def format(self, document: Any) -> Any:
        """Write it into a document; the library asks once."""
        written = super().format(document)
        self.content = None
        return written
