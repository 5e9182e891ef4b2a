"""Papers as bytes, in the shop's own fonts; what the type cannot print is told on stderr."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import click

from oilchart.errors import one_line
from oilchart.papers.pdf.direction import can_be_turned, is_right_to_left
from oilchart.papers.pdf.fonts import fallbacks, missing
from oilchart.sources.files.settings import Settings

MOST_SIGNS = 8  # that are named of those that cannot be printed


MOST_LETTERS = 60  # of the words they stand in


FALLBACK_KEY = "[paper] fallback_fonts in shop.toml"


RTL_REMEDY = "for their right order: pip install 'oilchart[rtl]'"


def printed(
    settings: Settings, what: str, words: Sequence[str], write: Callable[[], bytes]
) -> bytes:
    """Write a paper with the shop's fallback fonts; what they cannot print as it should be is told
    on stderr, and on whose paper.

    Args:
        what: the paper and whose it is, like "card M-014".
        words: all on it that come from the shop and the owner.
    """
    return printed_together(settings, [(what, words)], write)


def printed_together(
    settings: Settings, papers: Sequence[tuple[str, Sequence[str]]], write: Callable[[], bytes]
) -> bytes:
    """The same for several papers in one file: what each is and whose, and its words."""
    with fallbacks(settings.fallback_fonts):
        for what, words in papers:
            tell_missing(what, words)
        return write()


def tell_missing(what: str, words: Sequence[str]) -> None:
    """Tell on stderr what the type, with the fallback fonts in force, cannot print as it should
    be."""
    told = ""
    for text in words:
        signs = "".join(sign for sign in missing([text]) if sign not in told)
        told += signs
        if signs:
            click.echo(
                f"{what}: {_missing_words(text, signs)}; name a font that has them: {FALLBACK_KEY}",
                err=True,
            )
    if not can_be_turned() and any(is_right_to_left(text) for text in words):
        click.echo(
            f"{what}: right-to-left words are printed in the order they are stored; {RTL_REMEDY}",
            err=True,
        )


def _missing_words(text: str, signs: str) -> str:
    """Which characters of which words cannot be printed."""
    names = ", ".join(f"{sign} (U+{ord(sign):04X})" for sign in signs[:MOST_SIGNS])
    more = f" and {len(signs) - MOST_SIGNS} more" if len(signs) > MOST_SIGNS else ""
    whose = one_line(text)
    whose = whose if len(whose) <= MOST_LETTERS else f"{whose[:MOST_LETTERS]}…"
    return f'"{whose}": the type has no {names}{more}: printed as empty boxes'
