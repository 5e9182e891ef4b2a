"""What came of a call."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

import click

from oilchart.cli.asking import once_sure
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.hearing import heard_out, tell_heard, tell_unclear
from oilchart.cli.lifting import lifted_by_words
from oilchart.cli.mending import tell_mended
from oilchart.cli.options import as_said_option, danger_options, yes_option
from oilchart.cli.types import DAY, DAY_TO_COME_ANSWERED, WORDS
from oilchart.cli.word_types import OUTCOME
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.ways_to_reach import way_to_reach
from oilchart.core.records.job import Danger
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Way
from oilchart.errors import OilchartError
from oilchart.papers.contact_words import outcome_words
from oilchart.papers.danger_words import danger_line
from oilchart.papers.wording import counted, day_words, joined, machine_numbers
from oilchart.shop import call_outcomes, reports
from oilchart.shop.call_outcomes import FoundUnsafe, OutcomeRecorded, Telling, UnclearMachine
from oilchart.shop.corrections import calls as corrections
from oilchart.shop.corrections.calls import OutcomeChange, OutcomeCorrected
from oilchart.shop.reports import Told


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What an owner said of their sewing on a call; no words for nothing."""

    words: str
    as_said: bool


_Recorded = tuple[OutcomeRecorded, MachineRecord | None, list[Told]]


@click.command("called")
@click.argument("owner")
@click.argument("outcome", type=OUTCOME)
@click.argument("day", type=DAY_TO_COME_ANSWERED, required=False)
@click.option(
    "--machine",
    "machines",
    multiple=True,
    metavar="MACHINE",
    help="Which one is booked, called off, declined, sold or unsafe, where it is not clear.",
)
@click.option("--all", "of_all", is_flag=True, help="All of theirs are.")
@click.option(
    "--by-us", is_flag=True, help="With cancelled: the shop called the booked day off itself."
)
@click.option(
    "--use",
    "use",
    type=WORDS,
    metavar="WORDS",
    help="What they say of their sewing, as for the command use.",
)
@as_said_option
@click.option("--note", type=WORDS, help="Anything worth keeping.")
@click.option(
    "--on", "on", type=DAY, metavar="DATE", help="The day of the call; today if left out."
)
@danger_options
@click.option(
    "--correct",
    is_flag=True,
    help="In the place of what was told of them last, which was wrong; all that it did is undone.",
)
@yes_option
@pass_app
def called_command(
    app: AppContext,
    owner: str,
    outcome: Outcome,
    day: date | None,
    machines: tuple[str, ...],
    of_all: bool,
    by_us: bool,
    use: str | None,
    as_said: bool,
    note: str | None,
    on: date | None,
    unsafe: str | None,
    danger: Danger | None,
    correct: bool,
    yes: bool,
) -> None:
    """Record what came of a call; what follows from it is said.

    \b
    reached              spoken to: rung again in four weeks if the machine is not in by then
    rang-back [DAY]      nothing planned is changed, or they are rung on that day
    left-message, texted, mailed   looked at again in a week
    no-answer            rung again on the next open day; after three times a letter is proposed
    wrong-number         a letter is proposed, until there is another number: owner edit --phone
    booked DAY           the machine has its day on the bench; booked again, its day is moved
    cancelled            the booked day is off: rung again in four weeks; --by-us: at once
    did-not-come         on the booked day: rung on the next open day
    later DAY            rung on that day; what was booked is off
    declined             rung again in half a year, and no place on the bench until then
    letter-sent          written to, since nobody could be reached
    sold, goes-elsewhere, died   the machines are gone, and so are all calls about them

    What they say of their sewing is kept with --use, of the machines named or of all of theirs.

    An owner who lets two rounds pass is rung no more: due --lapsed. What an owner tells of danger,
    like a pedal that tingles, marks the machine: --unsafe.

    With --correct the last outcome told of an owner was wrong: the machines gone by it, days booked
    and calls put off are as before, and this one is told in its place, of the same day, with the
    same note, unless they are given. Where it was another owner: oilchart undo.

    \b
    Example: oilchart called Brandvold no-answer
             oilchart called Brandvold booked "15 January"
             oilchart called OW-003 booked 2027-01-15 --all
             oilchart called OW-009 cancelled --by-us
             oilchart called Brandvold reached --use "an hour most evenings"
             oilchart called Brandvold reached --machine M-001 --unsafe "tingles at the hand wheel"
             oilchart called Brandvold booked 2027-01-18 --correct
    """
    if by_us:
        if outcome is not Outcome.CANCELLED:
            raise OilchartError(
                f"--by-us: goes with cancelled only, not {outcome.replace(' ', '-')}"
            )
        outcome = Outcome.CANCELLED_BY_US
    if of_all and machines:
        raise click.UsageError("--all and --machine: give one of them")
    if of_all and unsafe is not None:
        raise click.UsageError("--unsafe: is of one machine; name it with --machine, not --all")
    if correct and use:
        raise click.UsageError(
            "--use: is told without --correct, or mended by: oilchart use --correct"
        )
    if correct and unsafe is not None:
        raise click.UsageError("--unsafe: is told without --correct, or by: oilchart unsafe")
    telling = Telling(named=machines, of_all=of_all)
    try:
        if correct:
            change = OutcomeChange(outcome=outcome, day=day, on=on, note=note, telling=telling)
            _correct(app, owner, change, yes=yes)
            return
        told = CallOutcome(on=on or app.today, outcome=outcome, day=day, note=note or "")
        found = None if unsafe is None else FoundUnsafe(on=told.on, why=unsafe, danger=danger)
        said = Said(words=use or "", as_said=as_said)
        _record(app, owner, told, telling, found, said, yes=yes)
    except UnclearMachine as error:
        raise OilchartError(f"{error} with --machine") from None


def _record(
    app: AppContext,
    owner: str,
    told: CallOutcome,
    telling: Telling,
    found: FoundUnsafe | None,
    said: Said,
    *,
    yes: bool,
) -> None:
    """Keep what came of a call, with what was told of danger and of the sewing, and say what
    follows."""

    def record(words: str, is_as_said: bool, keep_far: bool) -> _Recorded:
        with app.shop.book(writing=True) as book:
            heard = (
                reports.add_for_those(
                    book, app.shop, owner, telling.named, words, told.on, as_said=is_as_said
                )
                if words
                else []
            )
            marked = None
            if found is not None:
                marked = call_outcomes.mark_unsafe(book, app.shop, owner, telling.named, found)
            how = replace(telling, keep_far=keep_far)
            outcome = call_outcomes.record(book, app.shop, owner, told, how)
            return outcome, marked, heard

    def sure(words: str, is_as_said: bool) -> _Recorded:
        return once_sure(lambda keep_far: record(words, is_as_said, keep_far), yes=yes)

    answer, marked, heard = heard_out(said.words, sure, as_said=said.as_said, goes_on=True)
    _tell(answer, told)
    for each in heard:
        tell_heard(each.record.number, each)
    tell_unclear(each.record for each in heard)
    if marked is not None:
        _tell_unsafe(marked)


def _correct(app: AppContext, owner: str, change: OutcomeChange, *, yes: bool) -> None:
    """Keep what came of a call in the place of what was told last, and say what it was and is."""

    def record(keep_far: bool) -> OutcomeCorrected:
        with app.shop.book(writing=True) as book:
            how = replace(change.telling, keep_far=keep_far)
            return corrections.correct(book, app.shop, owner, replace(change, telling=how))

    mended = once_sure(record, yes=yes)
    whose = f"{mended.owner.number} {mended.owner.name}"
    tell_mended(whose, "call", _noted(mended.before), _noted(mended.after))
    if mended.recorded is None:
        return
    gone = mended.recorded.gone
    back = [each for each in mended.back if each.id not in {one.id for one in gone}]
    if back:
        click.echo(f"Looked after again: {_numbers(back)}.")
    _tell(mended.recorded, replace(mended.after, day=change.day))
    for each in mended.still_unsafe:
        _tell_unsafe(each)


def _noted(outcome: CallOutcome) -> str:
    """What came of a call, with its note."""
    return outcome_words(outcome) + (f", “{outcome.note}”" if outcome.note else "")


def _tell(answer: OutcomeRecorded, told: CallOutcome) -> None:
    """Say what was kept of a call, and what follows from it."""
    words = f"{answer.owner.number} {answer.owner.name}: {told.outcome}"
    if answer.booked and told.day is not None:
        words += f" for {day_words(told.day)}: {_numbers(answer.booked)}"
    elif told.day is not None and told.day != answer.again:
        words += f", {day_words(told.day)}"
    if answer.tries:
        words += f" ({counted(answer.tries, 'time')})"
    click.echo(f"{words}.")
    for day, machines in _by_day(answer):
        click.echo(f"{_ended_words(told, day)}: {_numbers(machines)}.")
    if answer.as_planned:
        click.echo("Nothing planned is changed.")
    _tell_other_ways(answer, told)
    if answer.again is not None:
        rung = not answer.letter and way_to_reach(answer.owner, ()) is Way.PHONE
        click.echo(
            f"{'To be rung again' if rung else 'On the list again'} on {day_words(answer.again)}."
        )
    if answer.lapsed:
        click.echo("Two rounds have passed: not rung any more. See: oilchart due --lapsed")
    if answer.gone:
        gone = _numbers(answer.gone)
        click.echo(f"Gone: {gone}. To take it back: oilchart machine back {answer.gone[0].number}")


def _tell_other_ways(answer: OutcomeRecorded, told: CallOutcome) -> None:
    """Say how else an owner can be reached whom a call did not."""
    number = answer.owner.rung_at
    if told.outcome is Outcome.WRONG_NUMBER and number is not None and not number.wrong:
        click.echo(f"There is another number: {number.words}.")
    if answer.letter:
        click.echo("A letter is proposed: oilchart letters")


def _numbers(records: Iterable[MachineRecord]) -> str:
    return joined(machine_numbers(record.id for record in records))


def _by_day(answer: OutcomeRecorded) -> list[tuple[date, list[MachineRecord]]]:
    """The booked days that an outcome ended, each with its machines."""
    days: dict[date, list[MachineRecord]] = {}
    for record, day in answer.ended:
        days.setdefault(day, []).append(record)
    return sorted(days.items(), key=lambda each: each[0])


def _ended_words(told: CallOutcome, day: date) -> str:
    """What became of a booked day."""
    if told.outcome is Outcome.DID_NOT_COME or day < told.on:
        return f"Did not come on {day_words(day)}, as booked"
    if told.outcome is Outcome.BOOKED:
        return f"Moved from {day_words(day)}"
    return f"Off, though booked: {day_words(day)}"


def _tell_unsafe(record: MachineRecord) -> None:
    """Say what makes a machine unsafe, and by what that is lifted."""
    for mark in record.dangers:
        click.echo(f"{record.number}: {danger_line(mark)}.")
        click.echo(lifted_by_words(record, mark))
