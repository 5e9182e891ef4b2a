"""What owners are asked about their sewing, read aloud at the counter and on the telephone: never
first for a number of hours a week, which nobody knows."""

from __future__ import annotations

FIRST_QUESTION = "How often do you sit down to it?"
SECOND_QUESTION = "How long each time?"
SEASON_QUESTION = "Which months more, which not?"
WORK_QUESTION = "What do you sew?"
SEWING_QUESTIONS = (
    f"{FIRST_QUESTION} {SECOND_QUESTION}",
    f"{SEASON_QUESTION} {WORK_QUESTION}",
)
OILING_QUESTION = ("Have you been oiling it?", "Have you been oiling them?")
