"""How the program says no: in one line, with the place, the value met and what to do."""

from __future__ import annotations

import difflib
import errno
import unicodedata
from collections.abc import Iterable

# of what was given: as many as a line of a screen has room for beside what is wrong with it
REPEATED_LETTERS = 60
UNSEEN_LETTERS = "\u115f\u1160\u2800\u3164\uffa0"  # fillers of Hangul, and Braille without a dot


class OilchartError(Exception):
    """Something the user can mend; its text is the one line they read."""


class WrongValue(OilchartError):
    """A value that was given and cannot be.

    Args:
        name: what it was given as, like "on" for a day.
        why: what is wrong with it, and what to do.
        or_else: what else to do than to leave it out; empty where it cannot be left out.
    """

    def __init__(self, name: str, value: object, why: str, or_else: str = "") -> None:
        self.name, self.value, self.why, self.or_else = name, value, why, or_else
        super().__init__(self.line(name))

    def line(self, name: str) -> str:
        """The refusal, with the value under a name that the user gave it by."""
        remedy = f"; leave {name} out, or {self.or_else}" if self.or_else else ""
        return f"{name} {self.value}: {self.why}{remedy}"


class UnknownName(OilchartError):
    """A model, machine, owner or point that is not there."""


class FarAhead(OilchartError):
    """A day so far ahead that it may be a slip of the pen; it is taken once somebody says that it
    is meant.

    Args:
        what: how far what lies ahead, like "2062-12-08 is 36 years ahead".
    """

    def __init__(self, what: str) -> None:
        self.what = what
        super().__init__(f"{what}; give a nearer day")


class UnreadableWords(OilchartError):
    """Words of an owner that do not fit the grammar.

    Args:
        below: lines that mark the place and give examples.
    """

    def __init__(self, line: str, below: Iterable[str] = ()) -> None:
        self.below = tuple(below)
        super().__init__(line)


class UnclearWords(UnreadableWords):
    """Words of an owner that can be understood once something is asked.

    Args:
        question: what that is.
        instead: the words that "yes" means; empty where they are said otherwise.
    """

    def __init__(self, line: str, below: Iterable[str], question: str, instead: str = "") -> None:
        self.question, self.instead = question, instead
        super().__init__(line, below)


class FaultyList(OilchartError):
    """Files of points or settings with faults; `faults` holds one line for each, in file order.

    What several lists are put together from may be told of by each of them; here it stands once.
    """

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(dict.fromkeys(faults))
        super().__init__("\n".join(self.faults))


class BookFault(OilchartError):
    """A shop folder or shop book that cannot be used, or a record in it that contradicts itself."""


class NoBook(BookFault):
    """There is no shop book in the folder where one was looked for."""


class CannotWrite(OilchartError):
    """A file or folder that could not be written.

    Args:
        place: the file, as the user named it.
        why: what is in the way.
        remedy: what to do.
        written: how many files of the same command were written before it.
    """

    def __init__(self, place: object, why: str, remedy: str, *, written: int = 0) -> None:
        self.place, self.why, self.remedy, self.written = place, why, remedy, written
        super().__init__(self.line())

    def line(self, *, recorded: bool = False) -> str:
        """The refusal, with what was changed all the same.

        Args:
            recorded: something was recorded before, which is told elsewhere.
        """
        parts = [f"{self.place}: {self.why}", self.remedy]
        if self.written:
            parts.insert(1, f"{self.written} before it written")
        elif not recorded:
            parts.insert(1, "nothing was changed")
        return "; ".join(parts)


def elsewhere(error: OSError, choose: str) -> str:
    """What to do about a place that cannot be written to.

    Args:
        choose: another place, like "name a file".
    """
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"make room on the disk, or {choose} on another"
    return f"{choose} you may write to"


def one_line(text: str) -> str:
    """A text as a refusal can repeat it: on one line, without letters that are not seen."""
    line = " ".join(text.split())
    if line.isprintable():  # as nearly all are; sign by sign takes thirty times as long
        return line
    return " ".join("".join(sign if sign.isprintable() else " " for sign in line).split())


def shortened(text: str) -> str:
    """A text as a refusal repeats it: as it is, or its beginning with a mark that more follows."""
    return text if len(text) <= REPEATED_LETTERS else f"{text[: REPEATED_LETTERS - 3]}..."


def quoted(given: str) -> str:
    """A name or words that were given, as a refusal repeats them: in quotation marks, on one line,
    no longer than it takes to know them again."""
    return f'"{shortened(one_line(given))}"'


def can_be_seen(text: str) -> bool:
    """Whether anything of a text shows: a letter, a figure or a sign, and no blank of any kind."""
    return any(
        unicodedata.category(sign)[0] in "LNPS" and sign not in UNSEEN_LETTERS for sign in text
    )


def nearest(name: str, known: Iterable[str], most: int = 3) -> str:
    """Say which known names come nearest to a name that is not known.

    Args:
        most: how many of them are named.

    Returns:
        `"; did you mean A or B?"`, or, where nothing comes near, the first few names there are;
        empty without any.
    """
    names = sorted(set(known))
    near = near_names(name, names, most)
    if near:
        return f"; did you mean {' or '.join(near)}?"
    if names:
        more = ", ..." if len(names) > 8 else ""
        return f"; there are: {', '.join(names[:8])}{more}"
    return ""


def near_names(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known names that come near to one that is not known, the nearest first."""
    by_folded = {other.casefold(): other for other in known}
    return [
        by_folded[folded]
        for folded in difflib.get_close_matches(name.casefold(), by_folded, n=most, cutoff=0.55)
    ]
