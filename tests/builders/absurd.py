"""Command lines with absurd values: any command with any of its options, drawn from what click
knows of them, so that a new one is drawn without being named here."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from random import Random

import click
from hypothesis import strategies as st

from oilchart.cli import main
from oilchart.cli.types import DAY, HOURS, STRETCH
from tests.builders.commands import commands_of

# what might be meant, by what an option or argument calls its value
POINTS = ("hook-race-oil", "needle-bar-oil", "belt-inspect", "lamp-inspect")
MECHANISMS = ("straight-head", "treadle-stand", "hand-crank", "cord-plug-lamp")
MACHINES = ("M-001", "M-002", "M-003", "1", "heron")
SAYINGS = ("5-8 hours a week; idle Jul-Aug", "2 quilts a month", "none", "120 hours in all")
KNOWN: dict[str, tuple[str, ...]] = {
    "machine": MACHINES,
    "owner": ("OW-001", "OW-002", "Brandvold", "01632"),
    "outcome": ("no-answer", "booked", "later", "reached", "sold", "letter-sent", "cancelled"),
    "model": ("heron-3", "velmora-7", "family-straight-treadle"),
    "a b": ("heron-3", "velmora-7"),
    "view": ("underside", "arm-top"),
    "point": POINTS,
    "point=words": tuple(f"{point}=dry,worn" for point in POINTS),
    "point=word": tuple(f"{point}=watch" for point in POINTS),
    "mechanism": MECHANISMS,
    "id": MECHANISMS,
    "name": ("Ida Late", "lint", "damp"),
    "words": SAYINGS,
    "tip|fine|force": ("tip", "fine", "force"),
}
DAYS = (
    "2026-11-25", "2026-11-24", "2027-01-15", "2026-12-01", "2025-02-03", "2028-11-27",
    "2062-12-08", "1876-11-25",
)  # fmt: skip
STRETCHES = ("30d", "4w", "15h", "8", "1")
PATHS = (
    "new.pdf", "new.html", "new.txt", "new.ics", "-", "folder", "folder/new.pdf", "not/there.html",
    "findings.json", "moved.ics", "list.toml", "settings.toml", "letters.txt",
)  # fmt: skip
# what nobody can have meant; of paths only such as lead to nothing outside the folder
ABSURD_PATHS = (
    "", ".", "..", "shop", "shop/out", "shop/shop.db", "shop/shop.toml", "shop/shop.db-wal",
    "shop/points", "findings.json/under.pdf", "circle", "nowhere", "n" * 10_000, "n" * 255,
    "a\nb.pdf", "red\x1b[31m\x07.html", "\u202eflip.pdf", "\U0001f9f5.ics", "\udcff.pdf",
    "/dev/full", "/dev/null", "--", "-1", " ",
)  # fmt: skip
ABSURD = (
    "", " ", "0", "-1", "5", "0001-01-01", "9999-12-31", "2199-02-29", "2199-12-31", "1850-01-01",
    "10000-01-01", "2026-13-01", "2199-12-30", "-2026-01-01", "2026-11-25T10:00", "tomorrow",
    "\u0662\u0660\u0662\u0666-\u0661\u0661-\u0662\u0665", "\u00b2", "W" * 6_000,
    "x" * 201, "q" * 10_000, "word " * 2_000, "ab-" * 4_000, "9" * 4_400,
    "-" + "9" * 4_400, "9999d", "9999w", "999h", "nan", "-inf", "1e999", "0x10", "\u0663\u0661",
    "M-000", "M-999", "OW-999", "M-" + "9" * 4_400, "=", "=dry", "hook-race-oil=", "7=dry",
    "hook-race-oil=" + "dry," * 2_000 + "worn", "a\nb\r\nc", "\t", "\x1b[31mred\x07\x9b2J",
    "\u202e\u2066\u200b\ufeff", "\u200b", "שלום", "سلام عليكم", "\U0001f9f5\ufe0f\u200d" * 60,
    "a\u0300" * 600, "\udcff\udc80", "</script>", "{{ 7 * 7 }}", "%s%n{0}", "'; DROP TABLE owner;",
    "../../x", "~", "*", "--", "--help", "-o", "999999999999 hours a week", "1/0 hours a week",
    "120 hours in the last 9999999999 years", "5-8 hours a week" + "; idle Jul" * 900,
    "busy Oct-Dec x" + "9" * 400,
)  # fmt: skip
# whatever a command line can hold: not the letter that ends its words
TYPED = st.text(st.characters(blacklist_characters="\0", blacklist_categories=()), max_size=40)

Line = tuple[str, list[str]]


@cache
def commands() -> tuple[tuple[str, click.Command], ...]:
    """All commands, by the words they are called with."""
    return tuple(commands_of(main))


@st.composite
def command_lines(draw: st.DrawFn) -> list[Line]:
    """Three commands, each with all words of a command line that calls it in the shop folder
    `shop`."""
    # a choice of Hypothesis's own is the same again and again, and misses half of the commands
    chance = draw(st.randoms(use_true_random=True))
    return [_Drawing(draw, chance).line(*chance.choice(commands())) for _ in range(3)]


class _Drawing:
    """Draws the words of one command line."""

    def __init__(self, draw: st.DrawFn, chance: Random) -> None:
        self._draw, self._chance = draw, chance

    def line(self, name: str, command: click.Command) -> Line:
        """A command with options and arguments."""
        before = ["--shop", "shop", "--today", "2026-11-25"]
        if self._seldom():
            before += self._options(main)
        options = self._options(command)
        arguments = [
            value
            for param in command.params
            if isinstance(param, click.Argument)
            for value in self._arguments(param)
        ]
        ends_options = [] if self._seldom() else ["--"]
        return name, [*before, *name.split(), *options, *ends_options, *arguments]

    def _seldom(self) -> bool:
        """True once in eight: were more of it absurd, nothing would get far."""
        return self._chance.random() < 1 / 8

    def _options(self, command: click.Command) -> list[str]:
        """Some of a command's options with their values, any of them now and then twice."""
        known = [
            param
            for param in command.get_params(click.Context(command, **main.context_settings))
            if isinstance(param, click.Option)
        ]
        may = [param for param in known if not param.is_eager or self._seldom()]
        some = (
            self._chance.choices(may, k=self._chance.choice((0, 0, 1, 1, 2, 3, 5))) if may else []
        )
        words = []
        for param in [*(param for param in known if param.required), *some]:
            name = self._chance.choice([*param.opts, *param.secondary_opts])
            if param.is_flag:
                words.append(name)
            elif param.nargs == 1 and name.startswith("--"):
                words.append(f"{name}={self._value(param)}")
            else:
                words += [name, *(self._value(param) for _ in range(param.nargs))]
        return words

    def _arguments(self, param: click.Argument) -> list[str]:
        """As many values as an argument takes, seldom one less or more."""
        if param.nargs == -1:
            many = self._chance.randint(0, 3)
        else:
            many = param.nargs if param.required else self._chance.randint(0, 1)
            if self._seldom() and self._seldom():
                many += self._chance.choice((-1, 1))
        return [self._value(param) for _ in range(many)]

    def _value(self, param: click.Parameter) -> str:
        is_path = isinstance(param.type, click.Path)
        if not self._seldom():
            return self._chance.choice(PATHS if is_path else meant(param))
        if is_path:
            return self._chance.choice(ABSURD_PATHS)
        return self._draw(TYPED) if self._seldom() else self._chance.choice(ABSURD)


def meant(param: click.Parameter) -> Sequence[str]:
    """What might be meant by a value."""
    if isinstance(param.type, click.Choice):
        return tuple(map(str, param.type.choices))
    if param.type is DAY:
        return DAYS
    if param.type in (STRETCH, HOURS) or isinstance(param.type, click.types.IntRange):
        return STRETCHES
    called = (param.metavar or param.name or "").casefold()
    for name in (called, called.rstrip("s"), param.type.name):
        if name in KNOWN:
            return KNOWN[name]
    return ("pedal, case", *SAYINGS, *MACHINES)
