"""Opens a page from its file in a real browser, and tells what it reports as errors and what breaks rules of accessibility.

The rules are those of axe-core, which its Python package brings along: WCAG 2.0 to 2.2, levels A and AA, and its own good practices.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from outside import need


@contextmanager
def opened(browser: Any, file: Path, *, width: int = 1920, height: int = 1080, **context: Any) -> Iterator[Any]:
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


def against_rules(page: Any) -> list[str]:
    """What breaks a rule of accessibility on a page as it stands: the rule, the element and what would be right, a line each."""
    need("axe_playwright_python")
    from axe_playwright_python.sync_playwright import Axe

    broken = Axe().run(page).response["violations"]
    return [f"{rule['id']}: {' '.join(map(str, node['target']))}: {rule['help']}" for rule in broken for node in rule["nodes"]]
