"""Knows how the story of a machine or an owner looks on a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.papers.lists.history import Event, Story
from oilchart.papers.lists.terminal import Column, Screen, table
from oilchart.papers.wording import short_day


def story_text(story: Story, screen: Screen) -> str:
    """The title and what is known, what happened by day, and what comes."""
    known = table(
        [Column(story.title), Column("", wraps=True)],
        [[label, words] for label, words in story.facts],
        screen,
    )
    parts = [known, _events("So far", story.past, screen), _events("To come", story.ahead, screen)]
    return "\n".join(part for part in parts if part)


def _events(heading: str, events: Sequence[Event], screen: Screen) -> str:
    """Events by day; an event's further lines stand below its first."""
    rows = [
        ["" if at else short_day(event.on), "" if at else event.kind, line]
        for event in events
        for at, line in enumerate(event.lines)
    ]
    return (
        table([Column(heading), Column("What"), Column("", wraps=True)], rows, screen)
        if rows
        else ""
    )
