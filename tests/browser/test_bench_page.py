"""The helper that holds pages against rules of accessibility finds what is against them, and only
that."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.builders.browser import against_rules, contrasts, opened

SOUND = (
    '<!DOCTYPE html><html lang="en-GB"><title>Bench</title><main><h1>Bench</h1>'
    '<label>Ready <input type="checkbox"></label></main></html>'
)


def test_a_page_against_rules_is_told_by_rule_and_element(browser: Any, tmp_path: Path) -> None:
    faulty = (
        SOUND.replace(' lang="en-GB"', "")
        .replace("<h1>", '<h1 style="color: #ddd">')
        .replace("<label>Ready ", "<label>")
    )
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


def test_contrast_is_measured_as_it_is_seen_wherever_it_comes_from(
    browser: Any, tmp_path: Path
) -> None:
    page_of = (
        "<!DOCTYPE html><title>Bench</title>"
        '<body style="margin: 20px; font: bold 30px sans-serif"><p style="color: #000">black</p>'
        '<p style="color: #767676">grey</p><p style="color: #000; opacity: 0.3">faded</p>'
        '<div style="height: 4000px"></div>'
        '<p style="color: #fff; background: linear-gradient(#0b4f8a, #0b4f8a)">late</p>'
    )
    file = tmp_path / "page.html"
    file.write_text(page_of, encoding="utf-8")
    with opened(browser, file) as page:
        measured = contrasts(page)
    assert {words: round(value, 1) for words, value in measured.items()} == {
        "black": 21.0,
        "grey": 4.5,
        "faded": 2.1,
        "late": 8.4,
    }
