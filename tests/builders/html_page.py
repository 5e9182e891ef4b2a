"""Reads a page that was written: its elements, its style and script, and its policy."""

from __future__ import annotations

import base64
import hashlib
from collections import Counter
from html.parser import HTMLParser

# what draws something in, or sends something away
FETCHED = ("link", "img", "iframe", "form")


class HtmlPage(HTMLParser):
    """A page's elements with their attributes, and the text of its style and script."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.blocks: dict[str, str] = {}
        self._open = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._open = tag

    def handle_endtag(self, tag: str) -> None:
        self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open in ("style", "script"):
            self.blocks[self._open] = self.blocks.get(self._open, "") + data

    @property
    def policy(self) -> str:
        """What the page allows itself."""
        return next(
            str(attributes["content"])
            for _, attributes in self.elements
            if attributes.get("http-equiv") == "Content-Security-Policy"
        )

    def of_class(self, tag: str, name: str) -> list[dict[str, str | None]]:
        """The attributes of elements of a class."""
        return [each for found, each in self.elements if found == tag and each.get("class") == name]


def policy_faults(page: HtmlPage) -> list[str]:
    """In what a page is not one style and one script, named by their hashes, and nothing else that
    its policy would have to allow."""
    faults = []
    if not page.policy.startswith("default-src 'none'; "):
        faults.append("the policy allows what it does not name")
    tags = Counter(tag for tag, _ in page.elements)
    for block in ("style", "script"):
        digest = base64.b64encode(hashlib.sha256(page.blocks[block].encode()).digest()).decode()
        if f"{block}-src 'sha256-{digest}'" not in page.policy:
            faults.append(f"the policy does not name the {block}")
        if tags[block] != 1:
            faults.append(f"{tags[block]} elements {block}")
    faults += [f"an element {tag}" for tag in FETCHED if tags[tag]]
    names = {name for _, attributes in page.elements for name in attributes}
    faults += [
        f"an attribute {name}"
        for name in sorted(names)
        if name == "style" or name.startswith("on") or name in ("src", "srcset", "action")
    ]
    return faults
