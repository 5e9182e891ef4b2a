"""How they sew and whether they oil it, what a meter shows, and how much it was before: the rules.

Each function is the rule of its name.
"""

from __future__ import annotations

from fractions import Fraction

from oilchart.core.units import Unit
from oilchart.core.use.report import Oiling, Reading, SewingPace
from oilchart.sources.words.facts import Agreed, As, Share, Unclear
from oilchart.sources.words.parser import Match, rule

_HUNDRED = 100


@rule(
    '[ ABOUT ] ( SHARE | [ A ] NUMBER [ "%" | "percent" | "per cent" ] [ "of" ] ) { PASS } ZIGZAG '
    '| ZIGZAG [ ABOUT ] ( SHARE | PART | "only" ) [ "of" ] [ "the" "time" ]',
    examples=["mostly zigzag", "a third zigzag", "45% zigzag", "no zigzag"],
)
def zigzag(match: Match) -> Share:
    """How much of the sewing is zigzag."""
    if match.has("NUMBER"):
        number: Fraction = match.get("NUMBER")
        share = number / _HUNDRED if match.has_any("%", "percent", "cent") else number
        if share > 1:
            match.refuse("is more than all of it")
        return Share(of_it=share)
    if match.has("PART"):
        return Share(of_it=match.get("PART"))
    return Share(of_it=match.get("SHARE") if match.has("SHARE") else Fraction(1))


@rule(
    '( "only" | "just" | "nothing" "but" | "all" | "always" ) STRAIGHT | STRAIGHT [ "stitch" ] '
    '[ "only" ] | SHARE STRAIGHT',
    examples=["straight stitch only"],
)
def straight(match: Match) -> Share:
    """How much of it is not zigzag."""
    if match.has("SHARE"):
        return Share(of_it=1 - match.get("SHARE"))
    return Share(of_it=Fraction(0))


@rule('[ "at" | "always" | "with" | "the" ] SPEED', examples=["slow", "normal speed", "flat out"])
def pace(match: Match) -> SewingPace:
    """How fast they sew."""
    found: SewingPace = match.get("SPEED")
    return found


@rule(
    '[ ALTOGETHER ] [ NOT ] { PASS } OIL { PASS } [ "ever" | ALTOGETHER | REMEMBERED | period '
    "| every_time | times | regular ] | REMEMBERED "
    '| NOT { PASS | A | NOUN | "of" } OIL { PASS } [ "ever" ]',
    examples=["oils it", "sometimes oils it", "never oils it", "I oil it when I think of it"],
)
def oiling(match: Match) -> Oiling:
    """Whether they oil it."""
    if match.has("NOT"):
        return Oiling.NEVER
    is_sometimes = match.has_any("ALTOGETHER", "REMEMBERED")
    return Oiling.SOMETIMES if is_sometimes else Oiling.YES


@rule(
    '[ "new" ] ( "meter" | "counter" ) { PASS | "says" | "shows" | "reads" } amount '
    '[ [ ";" ] ( HOURS | STITCHES ) ]',
    examples=["meter 412 hours", "meter 1840000 stitches", "new meter 0 hours"],
)
def meter(match: Match) -> Reading | Unclear:
    """What a meter shows, an old or a new one."""
    low, high = match.get("amount")
    if low != high:
        match.refuse("is a range; a meter shows one number")
    if not match.has_any("HOURS", "STITCHES"):
        return Unclear(ask=f"the meter shows {float(low):g}: hours or stitches?")
    unit = Unit.STITCHES if match.has("STITCHES") else Unit.HOURS
    return Reading(amount=low, unit=unit, new_meter=match.has("new"))


@rule(
    '( "twice" | "double" | "half" | amount "times" ) '
    '( [ "as" ] ( "much" | "often" | "busy" ) | "the" ( "use" | "amount" ) | "that" | BEFORE ) '
    "[ BEFORE ]",
    examples=["twice as much as before"],
)
def compared(match: Match) -> As:
    """So many times as much as something else."""
    times = Fraction(2)
    if match.has("half"):
        times = Fraction(1, 2)
    elif match.has("amount"):
        low, high = match.get("amount")
        if low != high:
            match.refuse("is a range; say how many times as much")
        times = low
    return As(times=times, of_before=match.has("BEFORE"))


@rule(
    '[ "the" ] "same" { PASS } [ BEFORE ] | BEFORE '
    '| ( "no" | "nothing" ) { PASS } ( "change" | "changed" | "changes" ) '
    '| "unchanged" | [ "the" ] "usual"',
    examples=["same as before", "no change"],
)
def same(match: Match) -> As:
    """As much as was told last."""
    return As(times=Fraction(1), of_before=True)


@rule("MORE")
def changed(match: Match) -> As:
    """More or less than was told last; nobody says by how much."""
    return As(times=None, of_before=True)


@rule('"yes" | "really"')
def agreed(match: Match) -> Agreed:
    """What was asked about is meant."""
    return Agreed()
