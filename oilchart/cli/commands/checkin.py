"""A machine comes into the shop, and its tag is printed."""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from oilchart.cli.commands.jobs import tell
from oilchart.cli.commands.papers.tags import tag_bytes, tag_name
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.hearing import heard_out, suffix_of, tell_heard, tell_unclear
from oilchart.cli.lifting import lifted_by_words
from oilchart.cli.options import as_said_option, danger_options, out_option
from oilchart.cli.serials import tell_alike
from oilchart.cli.types import DAY, DAY_TO_COME_ANSWERED, LINE, NAME, TOLD, WORDS, WordsType
from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.stay_state import here_lately
from oilchart.errors import CannotWrite, OilchartError
from oilchart.papers.danger_words import danger_line, may_hurt
from oilchart.papers.questions import FIRST_QUESTION, SECOND_QUESTION
from oilchart.papers.stay_words import lately_words
from oilchart.papers.wording import day_words
from oilchart.shop import machines, reports
from oilchart.shop.bench import jobs
from oilchart.shop.reports import Told
from oilchart.sources.book.machines import SerialNumber


@dataclass(frozen=True, slots=True, kw_only=True)
class _CheckedIn:
    """What a check-in has written down, and the tag of it.

    Args:
        alike: machines with the same serial number, where one was told.
    """

    record: MachineRecord
    job: Job
    heard: Told | None
    model: str
    tag: bytes
    alike: list[SerialNumber]


@click.command("checkin")
@click.argument("machine")
@click.argument("complaint", type=TOLD)
@click.option(
    "--with",
    "--left",
    "left_with",
    type=WORDS,
    default="",
    metavar="THINGS",
    help="What is left with it, like pedal,case,manual.",
)
@click.option(
    "--ready-by",
    type=DAY_TO_COME_ANSWERED,
    metavar="DATE",
    help="The day by which it was promised.",
)
@click.option("--serial", type=NAME, help="Its serial number.")
@click.option(
    "--use",
    "use",
    type=TOLD,
    metavar="WORDS",
    help="What the owner says of their sewing, as for the command use.",
)
@as_said_option
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@danger_options
@out_option
@pass_app
def checkin_command(
    app: AppContext, /, machine: str, complaint: str, on: date | None, out: Path | None, **said: Any
) -> None:
    """Note that a machine came into the shop, and what is wrong in its owner's words. There it
    rests, and nobody is rung about it.

    A tag is written for it, with its number as a code; the command tag writes it once more. On a
    screen the serial number, if it is not known, and how often they sit down to it, if the hours
    were not told in the last 28 days, are asked for; an empty answer leaves them out. What is said
    of the sewing is asked about once where it is not clear, and kept as it was said.

    A machine that was here within the last three months is told as such.

    Example: oilchart checkin M-014 "makes loops underneath" --with pedal,case
    """
    left = tuple(thing for part in said["left_with"].split(",") if (thing := part.strip()))
    serial, use = said["serial"], said["use"]
    if sys.stdin.isatty() and sys.stdout.isatty():
        with app.shop.book() as book:
            app.shop.settings_in(book)  # what is wrong there is met before anything is asked for
            record = machines.named(book, machine)
        if serial is None and not record.serial:
            serial = _asked("Serial number", LINE)
        if use is None and not reports.hours_told(record, on or app.today):
            use = _asked(f"{FIRST_QUESTION} {SECOND_QUESTION}", WORDS)
    told = jobs.CheckIn(
        on=on or app.today,
        complaint=complaint,
        left_with=left,
        ready_by=said["ready_by"],
        serial=serial,
        use=use,
        use_as_said=said["as_said"],
        unsafe=said["unsafe"] or "",
        danger=said["danger"],
    )

    def keep(words: str, is_as_said: bool) -> _CheckedIn:
        with app.shop.book(writing=True) as book:
            settings = app.shop.settings_in(book)
            how = replace(told, use=words or None, use_as_said=is_as_said)
            record, job, heard = jobs.check_in(book, app.shop, machine, how)
            return _CheckedIn(
                record=record,
                job=job,
                heard=heard,
                model=app.shop.list_of(record).name,
                tag=tag_bytes(app, settings, record, job),
                alike=[] if serial is None else machines.with_that_serial(book, record),
            )

    checked_in = heard_out(use or "", keep, as_said=told.use_as_said, goes_on=True)
    record, job = checked_in.record, checked_in.job
    _tell_what_came(checked_in)
    try:
        app.write_output(
            checked_in.tag, out, tag_name(record), in_shop=True, paper="tag", about=[record.id]
        )
    except CannotWrite as error:
        why = f"{error.place}: {error.why.removeprefix('cannot be written: ')}"
        again = f"print it with: oilchart tag {record.number}"
        raise OilchartError(f"the tag could not be written: {why}; {again}") from None
    open_questions = [
        *([] if record.serial else ["its serial number"]),
        *([] if reports.hours_told(record, job.in_on) else ["the hours"]),
    ]
    tell_unclear([record])
    if open_questions:
        click.echo(f"Still to ask: {' and '.join(open_questions)}.")


def _tell_what_came(checked_in: _CheckedIn) -> None:
    """Say what was written down, what was heard, and what of earlier stays concerns this one."""
    record, job = checked_in.record, checked_in.job
    came = f"in the shop since {job.in_on}, job {job.number}: “{job.complaint}”"
    tell(record, checked_in.model, came)
    tell_alike(record.serial, checked_in.alike)
    if checked_in.heard is not None:
        tell_heard(record.number, checked_in.heard)
    for mark in record.dangers:
        click.echo(f"{danger_line(mark)}. {lifted_by_words(record, mark)}")
    if not record.dangers and may_hurt(job.complaint):
        note = f'oilchart unsafe {record.number} "{job.complaint}"'
        click.echo(f"If that could hurt someone, do not plug it in, and note it: {note}")
    _tell_earlier(record, job)
    if job.left_with:
        click.echo(f"Left with it: {', '.join(job.left_with)}.")
    if job.ready_by is not None:
        click.echo(f"To be ready by {day_words(job.ready_by)}.")


def _tell_earlier(record: MachineRecord, job: Job) -> None:
    """Say what of earlier stays concerns this one."""
    earlier = here_lately(record, job.in_on)
    if earlier is not None:
        click.echo(f"{lately_words(earlier)}.")
    if here := [thing for each in record.jobs for thing in each.still_here]:
        click.echo(f"Still here from then: {', '.join(here)}.")
    if parts := [part.words for part in record.parts if part.is_here]:
        click.echo(f"Here for it: {', '.join(parts)}.")


def _asked(question: str, kind: WordsType) -> str | None:
    """What is answered on the screen; None for nothing."""
    answer: str = click.prompt(
        question,
        default="",
        show_default=False,
        type=kind,
        prompt_suffix=suffix_of(question),
    )
    return answer or None
