"""The wrong owner, or the wrong model, of a machine: mended, as if it had always been the other."""

from __future__ import annotations

from dataclasses import dataclass, replace

from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.job import Danger
from oilchart.core.records.machine_record import MachineRecord, under_its_list
from oilchart.core.use.meter import check_reading
from oilchart.core.use.report import Report
from oilchart.errors import OilchartError, UnknownName
from oilchart.shop.folder import Shop
from oilchart.shop.habits import terms
from oilchart.shop.machines import named
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named
from oilchart.sources.files.settings import Settings
from oilchart.sources.words.reader import report_as_said


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelCorrected:
    """A machine before and after its model was corrected.

    Args:
        list_name: of the right model's list.
        lost: the points at which something was noted and that the new list has not got.
        heard_anew: what its owner said that means something else on the other model, as it was and
            as it is understood.
    """

    before: MachineRecord
    after: MachineRecord
    list_name: str
    lost: tuple[str, ...]
    heard_anew: tuple[tuple[Report, Report], ...]


def correct_owner(
    book: Book, shop: Shop, machine: str, owner: str
) -> tuple[MachineRecord, MachineRecord]:
    """Mend the owner of a machine who was written down wrongly; its open calls and its booked day
    are the right one's from now on. What was said in calls stays with who said it.

    Returns:
        The machine before and after it.

    Raises:
        UnknownName; OilchartError: it is theirs already.
    """
    before = named(book, machine)
    whose = owner_named(book.owners.all(), owner)
    if whose.id == before.owner.id:
        raise OilchartError(f"{before.number}: is {whose.name}'s already; nothing was changed")
    after = replace(before, owner=whose)
    book.machines.edit(after)
    book.calls.hand_over(before.id, whose.id, shop.today)
    return before, after


def correct_model(book: Book, shop: Shop, machine: str, model: str) -> ModelCorrected:
    """Mend the model of a machine that was written down wrongly.

    What was noted at points that the right one has not got stays in the book and counts for
    nothing. Its mechanisms are the model's; what its owner said in bobbins is read anew, and what
    must not be plugged in and has no plug must not be used.

    Raises:
        UnknownName: there is no such machine or model; OilchartError: it is of that model already,
            or what its owner said cannot be of it.
    """
    before = named(book, machine)
    model = shop.library.point_list(model).id
    if model == before.model:
        raise OilchartError(f"{before.number}: is written down so already; nothing was changed")
    after = replace(before, model=model, mechanisms=())
    point_list = shop.list_of(after)
    after = _without_plug(after, point_list)
    after, heard_anew = _heard_anew(shop, shop.settings_in(book), before, after)
    book.machines.edit(after)
    for mark in after.unsafe_marks:
        if mark not in before.unsafe_marks:
            book.unsafe_marks.edit(mark)
    for was, now in heard_anew:
        book.reports.put(after.id, was, now)
    return ModelCorrected(
        before=before,
        after=after,
        list_name=shop.library.point_list(model).name,
        lost=_lost(after, point_list),
        heard_anew=heard_anew,
    )


def _without_plug(record: MachineRecord, point_list: PointList) -> MachineRecord:
    """A machine without a plug has no mains side that could be unsafe: what holds of that kind
    forbids its use."""
    if point_list.has_plug:
        return record
    marks = tuple(
        replace(mark, danger=Danger.MECHANICAL) if mark.holds else mark
        for mark in record.unsafe_marks
    )
    return replace(record, unsafe_marks=marks)


def _heard_anew(
    shop: Shop, settings: Settings, before: MachineRecord, after: MachineRecord
) -> tuple[MachineRecord, tuple[tuple[Report, Report], ...]]:
    """A machine of another model with what its owner said, read anew where that means something
    else there, and each such report as it was and is.

    Raises:
        OilchartError: it cannot be said of that model.
    """
    try:
        old = machine_of(shop, before)
    except UnknownName:  # its list is no more; what was understood by it stays
        return after, ()
    machine = machine_of(shop, after)
    changed = []
    reports: list[Report] = []
    for report in before.reports:
        now = report
        anew, was = (
            report_as_said(
                report.words, report.said, terms(each, settings, shop.word_list, report.said)
            )
            for each in (machine, old)
        )
        if anew.unclear and not was.unclear:
            raise OilchartError(
                f"{before.number}: what was said on {report.said} cannot be of this model: "
                f'"{report.words}": {anew.unclear}; nothing was changed; correct it first'
            )
        if anew != was:
            changed.append((report, anew))
            now = anew
        check_reading(now, reports, machine.speed)
        reports.append(now)
    return replace(after, reports=tuple(reports)), tuple(changed)


def _lost(record: MachineRecord, point_list: PointList) -> tuple[str, ...]:
    """The points at which something was done or noted and that a list has not got, by id."""
    noted = {
        finding.point
        for service in under_its_list(record, point_list).services
        for finding in service.findings
        if finding.done or finding.found or finding.left
    }
    return tuple(sorted(noted - {point.id for point in point_list.points}))
