"""The helper that holds pages against rules of accessibility finds what is against them, and only that."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from browser import against_rules, opened

SOUND = (
    '<!DOCTYPE html><html lang="en-GB"><title>Bench</title><main><h1>Bench</h1><label>Ready <input type="checkbox"></label></main></html>'
)


def test_a_page_against_rules_is_told_by_rule_and_element(browser: Any, tmp_path: Path) -> None:
    faulty = SOUND.replace(' lang="en-GB"', "").replace("<h1>", '<h1 style="color: #ddd">').replace("<label>Ready ", "<label>")
    file = tmp_path / "faulty.html"
    file.write_text(faulty, encoding="utf-8")
    with opened(browser, file) as page:
        assert [line.split(": ")[:2] for line in against_rules(page)] == [
            ["color-contrast", "h1"],
            ["html-has-lang", "html"],
            ["label", "input"],
        ]


def test_a_sound_page_breaks_no_rule(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "sound.html"
    file.write_text(SOUND, encoding="utf-8")
    with opened(browser, file) as page:
        assert against_rules(page) == []
