"""How a correction is told: what was written down, and what is now."""

from __future__ import annotations

import click


def tell_mended(whose: str, what: str, was: str, now: str) -> None:
    """Say in one line what was mended; nothing where it is as it was.

    Args:
        whose: number of a machine or owner, or more.
        was, now: in words; empty for nothing.
    """
    if was != now:
        click.echo(f"{whose}: {what}: was {was or 'nothing'}; now {now or 'nothing'}")
