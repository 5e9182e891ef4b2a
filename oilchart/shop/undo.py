"""Taking back what a command changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from oilchart.core.records.change import Change
from oilchart.core.records.machine_record import machine_number
from oilchart.core.records.owner import owner_number
from oilchart.core.records.paper import PrintedPaper
from oilchart.errors import OilchartError, UnknownName
from oilchart.shop import calls
from oilchart.shop.entry_checks import check_record
from oilchart.shop.folder import Shop
from oilchart.sources.book.changes import RowImage
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import machine_named, owner_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Undoing:
    """What would be taken back.

    Args:
        images: its rows before and after.
        lifts_danger: it was told that a machine is unsafe; taking that back wants a reason.
        back: the change that is in force again by it; None where it was not taken back by this one.
        papers: those printed of what it tells, since.
    """

    change: Change
    images: tuple[RowImage, ...]
    lifts_danger: bool
    back: Change | None
    papers: tuple[PrintedPaper, ...]

    @property
    def whose(self) -> tuple[str, ...]:
        """The numbers of the machines, or else of the owners, whose rows it wrote."""
        machines = tuple(machine_number(each) for each in sorted(self.change.machines))
        return machines or tuple(owner_number(each) for each in sorted(self.change.owners))


class ReasonWanted(OilchartError):
    """What is to be taken back kept somebody from harm."""


class LaterChanges(OilchartError):
    """Later changes stand on what a change wrote."""

    def __init__(self, change: Change, later: Sequence[Change]) -> None:
        named = ", ".join(f"{each.id} ({each.words or 'no words'})" for each in later)
        super().__init__(
            f"change {change.id}: later ones stand on it: {named}; take them back first, the last "
            "one first; or correct what it wrote"
        )


def changes_of(book: Book, whose: str | None) -> list[Change]:
    """The changes of the book, or those about a machine, or about an owner and their machines, the
    latest first.

    Raises:
        UnknownName: none, or more than one, is called so.
    """
    changes = book.changes.all()
    if whose is None:
        return changes
    owners = book.owners.all()
    records = book.machines.all(owners)
    try:
        owner = owner_named(owners, whose).id
    except UnknownName:
        machine = machine_named(records, book.machines.gone(), whose).id
        return [each for each in changes if machine in each.machines]
    theirs = {each.id for each in records if each.owner.id == owner}
    return [each for each in changes if owner in each.owners or each.machines & theirs]


def to_be_undone(book: Book, number: int | None) -> Undoing:
    """What would be taken back: the change of a number, or the latest one that stands by which
    something was told.

    Raises:
        UnknownName: there is no such change; OilchartError: it was taken back already, its rows are
            forgotten; LaterChanges.
    """
    changes = book.changes.all()
    by_id = {each.id: each for each in changes}
    if number is None:
        stand = [
            each
            for each in changes
            if each.stands(by_id) and each.undoes is None and not each.is_a_look
        ]
        if not stand:
            raise OilchartError("there is nothing to take back")
        change = stand[0]
    elif number in by_id:
        change = by_id[number]
    else:
        last = f"the last one is {changes[0].id}" if changes else "nothing was changed yet"
        raise UnknownName(f"change {number}: there is none of that number; {last}")
    if change.undone_by is not None and by_id[change.undone_by].undone_by is None:
        raise OilchartError(
            f"change {change.id}: was taken back already, by change {change.undone_by}"
        )
    images = tuple(book.changes.images(change.id))
    if not images:
        raise OilchartError(
            f"change {change.id} of {change.on}: its rows are not kept any more; correct what it "
            "wrote instead"
        )
    standing = book.changes.standing_on(change.id, images, by_id)
    if standing:
        raise LaterChanges(change, [by_id[each] for each in sorted(standing)])
    if book.changes.differ(images):
        raise OilchartError(
            f"change {change.id} of {change.on}: the book is not as it left it; correct what it "
            "wrote instead"
        )
    return Undoing(
        change=change,
        images=images,
        back=None if change.undoes is None else by_id[change.undoes],
        lifts_danger=any(each.table == "unsafe_mark" and each.before is None for each in images),
        papers=tuple(book.papers.since(change.id, change.machines, change.owners)),
    )


def check_reason(undoing: Undoing, why: str) -> None:
    """That a machine is unsafe is taken back for a reason only.

    Raises:
        ReasonWanted
    """
    if undoing.lifts_danger and not why:
        raise ReasonWanted(
            f"change {undoing.change.id}: told that a machine is unsafe; say why that is taken back"
        )


def undo(book: Book, shop: Shop, undoing: Undoing, why: str = "") -> None:
    """Take a change back, which is a change itself.

    Raises:
        ReasonWanted; OilchartError: the book would contradict itself without it.
    """
    check_reason(undoing, why)
    book.changes.put_back(undoing.images)
    book.undoes = undoing.change.id
    owners = set(undoing.change.owners)
    for record in book.machines.all():
        if record.id in undoing.change.machines:
            check_record(shop, record)
            owners.add(record.owner.id)
    calls.keep_promises(book, shop, owners, undoing.change.on)
