"""Where and for which day the program was called."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

# where click keeps the command and what was said to it, and the numbers of the changes it made
COMMAND_LINE, CHANGES_MADE = "oilchart.command-line", "oilchart.changes-made"


@dataclass(frozen=True, slots=True, kw_only=True)
class Invocation:
    """What was said before the command.

    It stands apart from `AppContext`, which knows the shop, so that `oilchart --help` loads neither
    the shop nor what opens its book.

    Args:
        folder: the shop folder, or where one stands.
        given_day: from --today, None without it.
        clock_day: the day the clock said when the program began.
    """

    folder: Path
    given_day: date | None
    clock_day: date

    @property
    def today(self) -> date:
        """The day everything is reckoned as of."""
        return self.given_day or self.clock_day
