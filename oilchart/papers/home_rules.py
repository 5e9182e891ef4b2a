"""What every paper for an owner says of danger: before oiling, when to stop and ring, what is never
done at home, and of a machine that must not be used."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

BEFORE_YOU_START = {
    "plug": "Pull the plug out of the wall before you oil, clean or open anything, and "
    "whenever you leave the machine.",
    "treadle": "Slip the belt off the hand wheel before you oil, clean or open anything.",
    "crank": "Fold the crank out of the wheel before you oil or clean, and turn the wheel "
    "slowly, fingers clear of the needle.",
}
STOP_ELECTRIC = (
    "it tingles when you touch it",
    "it smells of burning",
    "it runs by itself",
    "the foot pedal gets very hot",
)
STOP_SIGNS = (
    "the wheel turns stiffly",
    "it knocks",
)
NEVER_ELECTRIC = ("opening the motor, the foot pedal or a plug",)
NEVER_AT_HOME = (
    "tension and timing screws",
    "solvents and cleaning sprays",
    "freeing a machine that is stuck",
    "blowing it out with canned or compressed air",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeRules:
    """When the owner stops and rings, and what is never done at home."""

    stop_heading: str
    stop_signs: tuple[str, ...]
    never_heading: str
    never_at_home: tuple[str, ...]

    def stop_and_ring(self, phone: str) -> str:
        """The heading with the shop's number behind it, where there is one."""
        return f"{self.stop_heading}: {phone}" if phone else self.stop_heading

    @property
    def stop_when(self) -> str:
        """The signs as the end of a sentence: if it knocks, if it smells of burning."""
        return f"if {', if '.join(self.stop_signs)}."


def home_rules(*, electric: bool) -> HomeRules:
    """The rules for a machine, or for several of which any is electric."""
    return HomeRules(
        stop_heading="Stop, unplug, ring us" if electric else "Stop, ring us",
        stop_signs=(*(STOP_ELECTRIC if electric else ()), *STOP_SIGNS),
        never_heading="Not at home: leave this to us",
        never_at_home=(*(NEVER_ELECTRIC if electric else ()), *NEVER_AT_HOME),
    )


def before_you_start(has: Container[str]) -> list[str]:
    """What is done before any oiling or cleaning, by what turns the machine."""
    return [words for thing, words in BEFORE_YOU_START.items() if thing in has]


def unsafe_words(*, electric: bool) -> tuple[str, str]:
    """Heading and what to do, of a machine that must not be plugged in, or not be used, until it
    was put right.

    Args:
        electric: its mains side is unsafe, not its moving parts.
    """
    if electric:
        return (
            "Do not plug it in",
            "Keep its plug out of the wall until someone qualified has checked it and it has "
            "passed. Ring us, and we tell you what comes next.",
        )
    return (
        "Do not use it",
        "Let it rest until we have put it right. Ring us, and we tell you what comes next.",
    )
