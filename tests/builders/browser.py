"""Opens a page from its file in a real browser, and tells what it reports as errors and what breaks
rules of accessibility.

The rules are those of axe-core, which its Python package brings along: WCAG 2.0 to 2.2, levels A
and AA, and its own good practices.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from PIL import Image

from tests.builders.ink_checks import contrast
from tests.builders.outside import need


@contextmanager
def opened(
    browser: Any, file: Path, *, width: int = 1920, height: int = 1080, **context: Any
) -> Iterator[Any]:
    """Open a page from its file, without moving pictures.

    Args:
        browser: the fixture of that name.
        width, height: of the window in CSS pixels.
        context: what else the browser is told, in Playwright's words.

    A test in which the page reports an error fails.
    """
    given = {"viewport": {"width": width, "height": height}, "reduced_motion": "reduce", **context}
    window = browser.new_context(**given)
    page = window.new_page()
    errors: list[str] = []
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(file.as_uri())
    yield page
    window.close()
    assert errors == []


def against_rules(page: Any, *, contrast: bool = True) -> list[str]:
    """What breaks a rule of accessibility on a page as it stands: the rule, the element and what
    would be right, a line each.

    Args:
        contrast: with the rule on contrast, which takes three quarters of the time.
    """
    need("axe_playwright_python")
    from axe_playwright_python.sync_playwright import Axe

    options = {
        "rules": {"color-contrast": {"enabled": contrast}},
        "resultTypes": ["violations"],  # the rules that are kept are told in no detail
    }
    broken = Axe().run(page, options=options).response["violations"]
    return [
        f"{rule['id']}: {' '.join(map(str, node['target']))}: {rule['help']}"
        for rule in broken
        for node in rule["nodes"]
    ]


# All lines of words in the window that nothing covers: where they stand and what they say.
LINES_IN_SIGHT = """() => {
    const lines = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
        const text = walker.currentNode;
        const around = text.parentElement;
        if (!text.data.trim() || around.offsetWidth === 1) continue;
        if (!around.checkVisibility({ visibilityProperty: true })) continue;
        const range = document.createRange();
        range.selectNodeContents(text);
        for (const box of range.getClientRects()) {
            if (box.width < 4 || box.height < 6 || box.top < 0 || box.left < 0) continue;
            if (box.bottom > innerHeight || box.right > innerWidth) continue;
            const middle = [box.left + box.width / 2, box.top + box.height / 2];
            const there = document.elementFromPoint(...middle);
            const chip = around.closest(".chip");
            if (there?.contains(around) || around.contains(there) || chip?.contains(there)) {
                const said = text.data.trim().slice(0, 60);
                lines.push([said, box.left, box.top, box.right, box.bottom]);
            }
        }
    }
    return lines;
}"""


# Goes to a place of the page, and is done when that is what is seen.
SCROLLED = """top => new Promise((done) => {
    window.scrollTo(0, top);
    requestAnimationFrame(() => requestAnimationFrame(done));
})"""


def sized(page: Any, width: int, height: int) -> None:
    """Give the window another size, and wait until the page has seen it."""
    page.set_viewport_size({"width": width, "height": height})
    page.screenshot(clip={"x": 0, "y": 0, "width": 8, "height": 8})


def contrasts(page: Any, *, whole: bool = True) -> dict[str, float]:
    """The contrast of every line of words of a page, measured on pictures of it: of what is seen
    most there, and what differs most from it.

    The page is scrolled through from its top; a line that is seen more than once counts with its
    faintest sight.

    Args:
        whole: else only what is in the window now.
    """
    measured: dict[str, float] = {}
    top, high = 0, page.evaluate("innerHeight")
    while True:
        if whole:
            page.evaluate(SCROLLED, top)
        picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        for words, *box in page.evaluate(LINES_IN_SIGHT):
            line = picture.crop(tuple(map(round, box)))
            *others, behind = _colours(line)
            most = max((contrast(behind, colour) for colour in others), default=1.0)
            measured[words] = min(most, measured.get(words, most))
        if not whole or top + high >= page.evaluate("document.documentElement.scrollHeight"):
            return measured
        top += high * 3 // 4  # no line is cut by every window it comes into


def _colours(picture: Image.Image) -> list[str]:
    """The colours of a picture like #0b4f8a, the most frequent last."""
    count: Any = picture.getcolors(picture.width * picture.height)
    return [f"#{bytes(colour).hex()}" for _, colour in sorted(count)]
