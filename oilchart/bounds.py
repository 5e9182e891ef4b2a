"""How much of anything is taken in, each bound with its reason.

Each lies well above what a shop has, and below what would make a paper unreadable or the program
slow. Whatever checks takes its bound from here, and what goes beyond is told in one line.
"""

from __future__ import annotations

from datetime import date

# -- words, in letters

# of an owner, a model, the shop; phone and serial numbers, a line of an address: the longest names
# of people and firms have about half as many, and more would fill a card or a tag
NAME_LETTERS = 200
# of a machine, and its mark beside that: badges have fewer, and a tag has room for no more
MACHINE_LETTERS = 60
# a complaint, a note, a wish, a reason, any text of a list: two pages of a letter
WORDS_LETTERS = 5_000
PHRASE_LETTERS = 500  # what an owner says of their sewing: ten statements of the longest kind
FOOTER_LETTERS = 200  # more would take the room of what the card is for
PATH_LETTERS = 100_000  # of one path of a drawing: the longest that come along has 14,500
ADDRESS_LINES = 20  # an envelope shows six

# -- days

# no machine that is still sewn on is older, and no owner remembers further back
YEARS_BACK = 150
# a day further off than the longest interval of a list is a slip of the pen in its year
YEARS_AHEAD = 2
# years as of which the program can be asked to reckon: from the first sewing machines to as far on
FIRST_YEAR, LAST_YEAR = 1850, 2199
CLOSURE_DAYS = 1_000  # in one stretch of the settings: a shop shut for longer has closed
READ_CLOSURE_DAYS = 400  # of one entry of a calendar: longer ones are no holidays
LONGEST_LEAD_DAYS = (
    366  # an owner is rung no more than a year before a service, nor served a year apart
)
STRETCH_DIGITS = 4  # of a stretch of days or weeks: "within" decades
HOURS_DIGITS = 3  # of an alarm: six weeks before its entry
INTERVAL_MONTHS = 600  # of a list: what lasts 50 years is not serviced
WEEKS_LISTED = 104  # of calls: as far ahead as a day is taken without asking
WEEKS_ON_BOARD = 52  # more bars than a wall has room for
MONTHS_LISTED = 120  # of one machine: ten years of rows

# -- numbers

NUMBER_DIGITS = 9  # no number of a list, of the settings or of findings comes near it
NUMBER_BELOW = 10**NUMBER_DIGITS
PLACES = 10_000  # calls a day, services a week: no shop has so many machines
MACHINES_AT_ONCE = 200  # more alike of one owner: a factory, and a slip of the pen
PIECE_HOURS = 5_000  # for one piece of work: two years of full days
BUSY_TIMES = 20  # one month against another, as owners say it

# -- files

# bytes of a list, a drawing or the settings: a hundred times the largest that come along
TOML_BYTES = 5_000_000
# of tables in tables: a list has three; Python's own limit lies at some hundred
NESTING = 30
UNKNOWN_KEYS = 20  # of one table that are told one by one
FINDINGS_BYTES = 256 * 1024  # a list of a hundred points with a word for each takes 10 kB
FINDINGS_KEYS = 1_000  # of one object, and items of one list: ten times the points of a list
CALENDAR_BYTES = 20_000_000  # ten years of a full calendar; a phone would not hold more

# -- pictures

PHOTO_PIXELS = 120_000_000  # as many as any camera of a workshop takes; 0.4 GB when it is read
PHOTO_SIDE = 40_000  # pixels: twice the longest side of such a photo
# how often its width, or its height the other way, goes into the other side of a photo, a logo or
# a drawing: nothing can be made out on a longer strip
PROPORTION = 20
DRAWING_SIDE = 10_000  # units: the drawings that come along have 1,000
DRAWING_ITEMS = 500  # more are not told apart in print


def in_proportion(width: float, height: float) -> bool:
    """Whether a picture of these sides is no strip."""
    return max(width, height) <= PROPORTION * min(width, height)


def earliest_day(today: date) -> date:
    """The first day that anything is taken to have happened on."""
    return _years_on(today, -YEARS_BACK)


def latest_day(today: date) -> date:
    """The last day to come that is taken without asking."""
    return _years_on(today, YEARS_AHEAD)


def years_ahead(day: date, today: date) -> int:
    """Whole years from today to a day."""
    return day.year - today.year - ((day.month, day.day) < (today.month, today.day))


def _years_on(day: date, years: int) -> date:
    """The same day so many years on, or back; 29 February is 28 February where there is none."""
    year = min(max(day.year + years, date.min.year), date.max.year)
    try:
        return day.replace(year=year)
    except ValueError:
        return day.replace(year=year, day=28)
