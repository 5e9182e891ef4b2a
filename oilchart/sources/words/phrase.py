"""An owner's phrase as typed tokens, with the day it was said and what its words rest on."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any, NoReturn

from oilchart.core.days import DayOrder
from oilchart.core.units import Speed
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Rate
from oilchart.errors import UnreadableWords
from oilchart.sources.words.days import Sense, UnreadableDay, day_in_words, read_day
from oilchart.sources.words.numbers import DIGITS, NUMBER_WORDS, in_words, of_digits
from oilchart.sources.words.vocabulary import MONTH_NUMBERS, MOST_WORDS, Values, vocabulary
from oilchart.sources.words.word_list import Range, WordList, words_that_come_along

EXAMPLES = (
    "5-8 hours a week",
    "2 evenings a week, mostly zigzag",
    "120 hours since 2026-03-01; idle Jul-Aug",
)
# months of the northern half of the world; term as schools mostly have it, common practice
SEASONS: Mapping[str, frozenset[int]] = {
    "winter": frozenset({12, 1, 2}),
    "spring": frozenset({3, 4, 5}),
    "summer": frozenset({6, 7, 8}),
    "autumn": frozenset({9, 10, 11}),
    "term": frozenset({1, 2, 3, 4, 5, 6, 9, 10, 11, 12}),
    "before Christmas": frozenset({11, 12}),
    "Christmas": frozenset({12}),
}


def months_from(written: str) -> frozenset[int] | None:
    """The months of a stretch like "Dec-Feb" or "Jul"; None where it is none."""
    names = [name.strip().casefold() for name in written.replace("–", "-").split("-")]
    numbers = [MONTH_NUMBERS.get(name) for name in names]
    if len(numbers) > 2 or numbers[0] is None or numbers[-1] is None:
        return None
    length = (numbers[-1] - numbers[0]) % 12 + 1
    return frozenset((numbers[0] + step - 1) % 12 + 1 for step in range(length))


_SAME_SEASONS = {
    "autumn": ("fall",),
    "term": ("term time", "termtime", "school term"),
    "before Christmas": (
        "before xmas",
        "run up to christmas",
        "the run up to christmas",
        "up to christmas",
        "coming up to christmas",
    ),
    "summer": ("summer time", "summertime", "summer months"),
    "winter": ("winter time", "wintertime", "winter months"),
}
_HOLIDAYS = ("holidays", "holiday", "school holidays", "vacation", "summer holidays")
_SENSES = {
    "since": Sense.DONE,
    "until": Sense.AGREED,
    "till": Sense.AGREED,
    "idle": Sense.EITHER,
}
_AWAY_FROM = ("away", "holiday", "abroad", "closed", "nothing")
_UP_TO = ("-", "to", "until", "till")
_YEAR = re.compile(r"(?:19|20)\d\d")
_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_TIMED = re.compile(r"(\d{1,2})\s?h\s?([0-5]\d)(?![\w.,])", re.IGNORECASE)  # 1h30
_SHORT = re.compile(r"p[./]?\s?[wa](?![^\W_])\.?", re.IGNORECASE)  # p.w., pa
_TOKEN = re.compile(rf"{DIGITS.pattern}|[^\W\d_]+(?:['’][^\W\d_]+)*|\S")
_EITHER = re.compile(r"\d/\d")
PASSED_OVER = frozenset(("PASS", "JOINT", "USED", "PIECE"))  # kinds of what says nothing
UNITS = frozenset(("HOURS", "MINUTES", "PERIOD"))  # the likeliest to be meant
LEAST_SPELT = 3  # letters of a word that may be misspelt
CLOSE = 0.8  # how like a word that is known, of 1
_DASHES = {"–": "-", "−": "-", "—": "-"}
SEPARATORS = (",", ";", ".", "!", ":", "(", ")", "&", "+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """A number, a word or several that mean one thing, or a mark of a phrase.

    Args:
        place: of its first letter in the phrase.
        shown: as it was written; empty at the end of the phrase.
        text: in small letters.
        values: what it comes to by the kinds it is of; some words are of several.
        wrong: why it is no day, though it is written like one.
    """

    place: int
    shown: str
    text: str
    values: Values
    wrong: str = ""

    @property
    def is_mark(self) -> bool:
        """Whether it only parts words from others."""
        return self.text in SEPARATORS

    @property
    def is_unknown(self) -> bool:
        """Whether it is a word that nobody has told us of."""
        return "NOUN" in self.values


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the words need to know of the machine and the shop.

    Args:
        bobbin: the model's; None where its list does not say what it holds.
        speed: the machine's.
        pieces: hours at the machine for one piece of each kind of work, low and high, by its name
            in the singular.
        day_order: in which the shop writes day and month; None where it does not say.
        own_words: what vague words are taken for; None where it is what comes along.
        seasons: their months, by name.
        last_service: None where there was none.
        before: the rate told last; None where none was.
    """

    bobbin: Bobbin | None = None
    speed: Speed = field(default_factory=Speed)
    pieces: Mapping[str, Range] = field(default_factory=dict)
    day_order: DayOrder | None = None
    own_words: WordList | None = None
    seasons: Mapping[str, frozenset[int]] = field(default_factory=lambda: SEASONS)
    last_service: date | None = None
    before: Rate | None = None

    @property
    def words(self) -> WordList:
        """What vague words are taken for."""
        return self.own_words or words_that_come_along()

    def vocabulary(self) -> Mapping[tuple[str, ...], Values]:
        """All words that are known."""
        seasons = {}
        for name, months in self.seasons.items():
            for form in (name, *_SAME_SEASONS.get(name, ())):
                seasons[form.casefold()] = months
        term = self.seasons.get("term", frozenset())
        seasons |= dict.fromkeys(_HOLIDAYS, frozenset(range(1, 13)) - term)
        return vocabulary(self.words, tuple(sorted(self.pieces)), tuple(sorted(seasons.items())))


NO_TERMS = Terms()


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """What an owner said on a day.

    Args:
        words: on one line.
        tokens: the last one is empty, the end.
    """

    words: str
    said: date
    terms: Terms
    tokens: tuple[Token, ...]

    def refuse(self, at: int, wrong: str) -> NoReturn:
        """Refuse the phrase for what begins at a token.

        Raises:
            UnreadableWords: one line that says it, and below it the phrase with a caret under the
                place, and examples.
        """
        raise self.refusal(at, wrong)

    def near(self, word: str) -> str:
        """The known word that one comes near to; empty where none does."""
        return self._near(word, lambda values: not values.keys() <= PASSED_OVER)

    def near_piece(self, word: str) -> str:
        """The piece of work that a word comes near to; empty where none does."""
        return self._near(word, lambda values: "PIECE" in values)

    def _near(self, word: str, counts: Callable[[Values], bool]) -> str:
        if len(word) < LEAST_SPELT:
            return ""
        known = {
            key[0]: values
            for key, values in self.terms.vocabulary().items()
            if len(key) == 1 and len(key[0]) >= LEAST_SPELT and counts(values)
        }
        close = difflib.get_close_matches(word, known, n=3, cutoff=CLOSE)
        units = [each for each in close if not UNITS.isdisjoint(known[each])]
        return next(iter((*units, *close)), "")

    def with_word(self, at: int, word: str) -> str:
        """The phrase with another word in the place of a token."""
        token = self.tokens[at]
        return self.words[: token.place] + word + self.words[token.place + len(token.shown) :]

    def place_of(self, name: str) -> int:
        """The token with which words begin; the first where they do not stand together."""
        first = name.split()[0]
        return next((at for at, token in enumerate(self.tokens) if token.text == first), 0)

    def refusal(self, at: int, wrong: str) -> UnreadableWords:
        """The refusal of the phrase for what begins at a token."""
        examples = ", ".join(f'"{example}"' for example in EXAMPLES)
        caret = " " * self.tokens[at].place + "^"
        below = [f"    {self.words}", f"    {caret}", f"    write it like {examples}"]
        return UnreadableWords(f'use: "{self.words}": {wrong}', below)


def phrase_of(words: str, said: date, terms: Terms = NO_TERMS) -> Phrase:
    """Words on one line as a phrase of typed tokens; a day is one token, whatever it is made of."""
    known = terms.vocabulary()
    written = [(found.start(), found[0]) for found in _TOKEN.finditer(words)]
    plain = [_plain(shown) for _, shown in written]
    tokens: list[Token] = []
    at = 0
    while at < len(written):
        place = written[at][0]
        token = (
            _day_token(words, place, tokens, said, terms)
            or _timed_token(words, place)
            or _known_token(words, written, plain, at, known, least=2)
            or _number_in_words(words, written, plain, at)
            or _known_token(words, written, plain, at, known)
            or _single(words, place, written[at][1])
        )
        tokens.append(token)
        end = place + len(token.shown)
        while at < len(written) and written[at][0] < end:
            at += 1
    tokens.append(Token(place=len(words), shown="", text="", values={}))
    return Phrase(words=words, said=said, terms=terms, tokens=tuple(tokens))


def _plain(shown: str) -> str:
    text = shown.casefold().replace("’", "'")
    return _DASHES.get(text, text)


def _timed_token(words: str, place: int) -> Token | None:
    """1h30 as an hour and a half."""
    found = _TIMED.match(words, place)
    if found is None or (place and words[place - 1].isalnum()):
        return None
    hours = Fraction(found[1]) + Fraction(int(found[2]), 60)
    return Token(place=place, shown=found[0], text=found[0].casefold(), values={"TIMED": hours})


def _number_in_words(
    words: str, written: Sequence[tuple[int, str]], plain: Sequence[str], at: int
) -> Token | None:
    """A number that words make up, of two words or more or of one that is no article."""
    if plain[at] not in NUMBER_WORDS and plain[at] != "a":
        return None
    found = in_words(list(plain[at : at + 8]))
    if found is None:
        return None
    last = written[at + found[0] - 1]
    shown = words[written[at][0] : last[0] + len(last[1])]
    values = _number_values(found[1])
    if shown.casefold() == "one":
        values["A"] = shown
    text = " ".join(plain[at : at + found[0]])
    return Token(place=written[at][0], shown=shown, text=text, values=values)


def _number_values(number: Fraction) -> dict[str, Any]:
    """A number; one below 1 is a part, too."""
    return {"NUMBER": number, **({"PART": number} if 0 < number < 1 else {})}


def _known_token(
    words: str,
    written: Sequence[tuple[int, str]],
    plain: Sequence[str],
    at: int,
    known: Mapping[tuple[str, ...], Values],
    *,
    least: int = 1,
) -> Token | None:
    """The longest group of words that is known and begins there.

    Args:
        least: words it has to have.
    """
    short = _SHORT.match(words, written[at][0])
    if short is not None:
        key = (short[0].casefold().replace(" ", ""),)
        values = known.get(key)
        if values is not None:
            return Token(place=written[at][0], shown=short[0], text=key[0], values=values)
    for length in range(min(MOST_WORDS, len(plain) - at), least - 1, -1):
        part = tuple(plain[at : at + length])
        values = known.get(part)
        if values is None and "-" in part[1:-1]:  # full-time
            values = known.get(tuple(word for word in part if word != "-"))
        if values is not None:
            last = written[at + length - 1]
            return Token(
                place=written[at][0],
                shown=words[written[at][0] : last[0] + len(last[1])],
                text=" ".join(plain[at : at + length]),
                values=values,
            )
    return None


def _single(words: str, place: int, shown: str) -> Token:
    """A number in figures, a mark, or a word that is not known."""
    text, values = _plain(shown), dict[str, Any]()
    if _ISO_DAY.match(words, place) and not re.match(r"[\w-]", words[place + 10 : place + 11]):
        return _iso_day(place, words[place : place + 10])
    if _EITHER.fullmatch(words, place, place + len(shown)) and _is_either(words, place, shown):
        wrong = f'"{shown}": two numbers, or a part? Write it out'
        return Token(place=place, shown=shown, text=text, values=values, wrong=wrong)
    if DIGITS.fullmatch(shown):
        values = _number_values(of_digits(shown))
        if _YEAR.fullmatch(text):
            values["YEAR"] = int(text)
    elif text[0].isalpha():
        values["NOUN"] = text
    return Token(place=place, shown=shown, text=text, values=values)


def _is_either(words: str, place: int, shown: str) -> bool:
    """Whether 2/3 may be two to three: more than one of it is spoken of."""
    first, second = map(int, shown.split("/"))
    after = re.match(r"\s*(\w*)", words[place + len(shown) :])
    return second == first + 1 > 2 and after is not None and after[1].endswith("s")


def _iso_day(place: int, shown: str) -> Token:
    try:
        return Token(
            place=place, shown=shown, text=shown, values={"DATE": date.fromisoformat(shown)}
        )
    except ValueError:
        wrong = "there is no such day; look at the month and the day"
        return Token(place=place, shown=shown, text=shown, values={}, wrong=f"“{shown}”: {wrong}")


def _day_token(
    words: str, place: int, before: Sequence[Token], said: date, terms: Terms
) -> Token | None:
    """The day that begins at a place, where the words before it make one expected; None where none
    does, and for one in its plain form, which is a token by itself.

    Since a day is of what was, until one of what comes; the last day of a rest comes after its
    first, of which the words do not say whether it is past.
    """
    if not before or _ISO_DAY.match(words, place):
        return None
    today, sense = said, _SENSES.get(before[-1].text)
    if sense is None and before[-1].text in _UP_TO and len(before) > 1:
        first = before[-2].values.get("DATE")
        if first is not None:
            today, sense = first, Sense.AGREED
    if sense is None and before[-1].text in ("at", "in", "on") and _is_last_used(before):
        sense = Sense.DONE
    if sense is None and before[-1].text == "from" and len(before) > 1:
        sense = Sense.AGREED if before[-2].text in _AWAY_FROM else None
    shown = "" if sense is None else day_in_words(words, place)
    if sense is None or not shown:
        return None
    try:
        day = read_day(shown, today, sense, terms.day_order)
    except UnreadableDay as error:
        return Token(place=place, shown=shown, text=shown.casefold(), values={}, wrong=str(error))
    return Token(place=place, shown=shown, text=day.isoformat(), values={"DATE": day})


def _is_last_used(before: Sequence[Token]) -> bool:
    """Whether the words before a day are like "last used at"."""
    near = before[-5:]
    return any(token.text == "last" for token in near) and any(
        "USED" in token.values for token in near
    )
