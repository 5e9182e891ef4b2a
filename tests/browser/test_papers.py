"""pdf.js, which shows PDFs in browsers and hands their structure to screen readers, reads every
paper's tree as the other readers do."""

from __future__ import annotations

import mimetypes
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.builders import tagged
from tests.builders.outside import need_folder
from tests.builders.papers.every_paper import PAPERS, written

HOST = "https://paper.example"  # reached by nobody: all it is asked for is answered here
READ = """async () => {
    const pdfjs = await import("/pdfjs/build/pdf.mjs");
    pdfjs.GlobalWorkerOptions.workerSrc = "/pdfjs/build/pdf.worker.mjs";
    const paper = await pdfjs.getDocument({url: "/paper.pdf"}).promise;
    const pages = [];
    for (let number = 1; number <= paper.numPages; number++) {
        const page = await paper.getPage(number);
        const words = await page.getTextContent({includeMarkedContent: true});
        pages.push([await page.getStructTree(), words.items]);
    }
    const about = (await paper.getMetadata()).info;
    return {pages, outline: await paper.getOutline(), about, marked: await paper.getMarkInfo()};
}"""


@pytest.fixture(scope="module")
def window(browser: Any) -> Iterator[Any]:
    """A page that pdf.js runs in; the paper it is given is the last one of `papers`."""
    pdfjs = need_folder("OILCHART_PDFJS", "pdf.js, the folder of the npm package pdfjs-dist")
    page = browser.new_page()
    page.papers = []

    def answer(route: Any) -> None:
        path = urlsplit(route.request.url).path
        if path == "/paper.pdf":
            route.fulfill(body=page.papers[-1], content_type="application/pdf")
        elif path.startswith("/pdfjs/"):
            kind = "text/javascript" if path.endswith(".mjs") else mimetypes.guess_type(path)[0]
            route.fulfill(
                body=Path(pdfjs, path.removeprefix("/pdfjs/")).read_bytes(), content_type=kind
            )
        else:
            route.fulfill(body="<!doctype html><title>paper</title>", content_type="text/html")

    page.route(f"{HOST}/**", answer)
    yield page
    page.close()


def parts(tree: Any, words: dict[str, str]) -> Iterator[tuple[str, str, str]]:
    """Role, words and alternative text of each part on a page, in the order they are read; its tree
    holds parts of other pages, too."""
    for kid in tree.get("children", []):
        if "role" in kid and marks(kid) & words.keys():
            yield kid["role"], said(kid, words), kid.get("alt", "")
            yield from parts(kid, words)


def marks(part: Any) -> set[str]:
    """The marks of a part and its kids."""
    return {part.get("id", "")}.union(*(marks(kid) for kid in part.get("children", [])))


def said(part: Any, words: dict[str, str]) -> str:
    """The words of a part with those of its kids."""
    if "role" not in part:
        return words.get(part.get("id", ""), "")
    return "".join(said(kid, words) for kid in part.get("children", []))


def by_mark(items: list[Any]) -> dict[str, str]:
    """The words of each mark of a page."""
    words: dict[str, str] = {}
    inside: list[str] = []
    for item in items:
        if item.get("type", "").startswith("beginMarkedContent"):
            inside.append(item.get("id") or "decoration")
            words.setdefault(inside[-1], "")
        elif item.get("type") == "endMarkedContent":
            inside.pop()
        elif inside:
            words[inside[-1]] = (
                words.get(inside[-1], "") + item["str"] + (" " if item["hasEOL"] else "")
            )
    return words


def bare(words: str) -> str:
    """Words without blanks, which each reader puts where it likes."""
    return "".join(words.split())


@pytest.mark.parametrize("name", PAPERS)
def test_pdfjs_reads_the_tree_of_a_paper(window: Any, name: str) -> None:
    window.papers.append(written(name))
    window.goto(f"{HOST}/")
    read = window.evaluate(READ)
    tree = tagged.tree_of(written(name))
    found = [part for page, items in read["pages"] for part in parts(page, by_mark(items))]
    headings = [(role, bare(words)) for role, words, _ in found if role in ("H1", "H2", "H3")]
    assert headings == [(node.role, bare(node.words)) for node in tree.of("H1", "H2", "H3")]
    assert [alt for role, _, alt in found if role == "Figure"] == [
        node.alt for node in tree.of("Figure")
    ]
    assert {role for role, _, _ in found} == {node.role for node in tree.all()}
    assert [bare(said(page, by_mark(items))) for page, items in read["pages"]] == [
        bare(tagged.tree_of(written(name), page=at).words) for at in range(len(read["pages"]))
    ]
    assert read["marked"] == {"Marked": True, "UserProperties": False, "Suspects": False}
    assert read["about"]["Language"] == PAPERS[name].language
    assert read["about"]["Title"] == PAPERS[name].title
    assert [item["title"] for item in read["outline"]] == [
        node.title or " ".join(node.words.split()) for node in tops(tree)
    ]


def tops(tree: tagged.Node) -> list[tagged.Node]:
    """The parts whose bookmarks stand above all others."""
    return [kid for kid in tree.kids if kid.role == "H1" or kid.title]
