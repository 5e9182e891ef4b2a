"""What was told last of the calls to an owner, mended: all that it had done is taken back, and what
was meant is told in its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.planning.follow_up import MAY_HAVE_A_DAY, CallOutcome, Outcome
from oilchart.core.records.change import Change
from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.owner import Owner
from oilchart.errors import OilchartError, UnknownName
from oilchart.shop import call_outcomes
from oilchart.shop.call_outcomes import FIRST_TOLD, OF_SOME, OutcomeRecorded, Telling
from oilchart.shop.folder import Shop
from oilchart.sources.book.changes import RowImage
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeChange:
    """What is told in the place of what was told last of an owner.

    Args:
        on: the day of the call; None as it was told.
        note: None as it was told.
        telling: without machines where they are those of which it was told.
    """

    outcome: Outcome
    day: date | None = None
    on: date | None = None
    note: str | None = None
    telling: Telling = FIRST_TOLD


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeCorrected:
    """What was told of an owner, and what is now.

    Args:
        recorded: what follows; None where only the note is another.
        back: the machines that were gone by what was told, and are looked after again.
        still_unsafe: those that were told unsafe with it, and are still.
    """

    owner: Owner
    before: CallOutcome
    after: CallOutcome
    recorded: OutcomeRecorded | None = None
    back: tuple[MachineRecord, ...] = ()
    still_unsafe: tuple[MachineRecord, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """A change by which an outcome was told.

    Args:
        images: its rows before and after, but for marks of danger, which stay.
        marked: the machines that it marked unsafe, by their ids.
    """

    change: Change
    images: tuple[RowImage, ...]
    marked: frozenset[int]

    @property
    def outcomes(self) -> tuple[tuple[RowImage, Mapping[str, object]], ...]:
        """The outcomes that it told or took out, each with its row."""
        return tuple(
            (image, row)
            for image in self.images
            if image.table == "outcome" and (row := image.after or image.before)
        )

    @property
    def ids(self) -> frozenset[int]:
        """The outcomes that it told, by the ids of their rows."""
        return _ids(row for image, row in self.outcomes if image.before is None)

    @property
    def replaced(self) -> frozenset[int]:
        """Those in whose place it told them."""
        return _ids(row for image, row in self.outcomes if image.after is None)

    @property
    def calls(self) -> frozenset[int]:
        """The calls of which it told, by number."""
        return _ids((row for image, row in self.outcomes if image.before is None), "call_id")


def correct(book: Book, shop: Shop, owner: str, change: OutcomeChange) -> OutcomeCorrected:
    """Tell an outcome in the place of what was told last of an owner: of the same day, with the
    same note, and of the same machines, where nothing else is told of them. Another note alone
    changes nothing but the note.

    Raises:
        UnknownName: nothing was told of them; FarAhead; WrongValue; OilchartError: it is written
            down so already, it is not known any more what it had done, later changes stand on it,
            or the new one cannot be.
    """
    whom = owner_named(book.owners.all(), owner)
    last = book.outcomes.told_last(whom.id)
    if last is None:
        raise UnknownName(f"{whom.number}: nothing was told of calls to {whom.name}")
    outcome_id, before = last
    after = CallOutcome(
        on=change.on or before.on,
        outcome=change.outcome,
        day=change.day,
        note=before.note if change.note is None else change.note,
    )
    names_machines = bool(change.telling.named or change.telling.of_all)
    is_same = _same_but_note(before, after) and not names_machines
    if is_same and after.note == before.note:
        raise _refusal(whom, before, "is written down so already; nothing was changed")
    changes = book.changes.all()
    told = _told(book, changes, whom, outcome_id)
    if not told:
        raise _refusal(
            whom, before, "what it had done is not kept; nothing was changed; tell what is so now"
        )
    if is_same:
        book.outcomes.note_anew(told[0].ids, after.note)
        return OutcomeCorrected(owner=whom, before=before, after=replace(before, note=after.note))
    _check_nothing_stands_on(book, told, changes, whom, before)
    gone = book.machines.gone()
    for each in told:
        if book.changes.differ(each.images):
            raise _refusal(whom, before, "the book is not as it left it; nothing was changed")
        book.changes.put_back(each.images)
    telling = replace(change.telling, anew=told[-1].calls)
    if change.outcome in OF_SOME and not names_machines:
        telling = replace(telling, named=tuple(map(machine_number, before.machines)))
    recorded = call_outcomes.record(book, shop, whom.number, after, telling)
    _, after = book.outcomes.told_last(whom.id) or last
    records = book.machines.all()
    return OutcomeCorrected(
        owner=whom,
        before=before,
        after=after,
        recorded=recorded,
        back=tuple(each for each in records if each.id in gone),
        still_unsafe=tuple(
            each for each in records if each.dangers and any(each.id in one.marked for one in told)
        ),
    )


def _refusal(owner: Owner, before: CallOutcome, why: str) -> OilchartError:
    return OilchartError(f"{owner.number}: “{before.outcome}” of {before.on}: {why}")


def _same_but_note(before: CallOutcome, after: CallOutcome) -> bool:
    """Whether two are the same but for their notes. The day of what was called off or missed is no
    word of who tells it."""
    days = (before.day, after.day) if before.outcome in MAY_HAVE_A_DAY else (None, after.day)
    return (before.on, before.outcome, days[0]) == (after.on, after.outcome, days[1])


def _told(
    book: Book, changes: Sequence[Change], owner: Owner, outcome_id: int
) -> tuple[_Told, ...]:
    """The change by which an outcome was told, then, where it took the place of another, the one by
    which that was, and so on; none where the rows of one are not kept any more, or it told more
    than of a call to the owner."""
    found: list[_Told] = []
    for change in changes:
        if owner.id not in change.owners or change.undoes is not None:
            continue
        told = _told_by(change, book.changes.images(change.id))
        if outcome_id not in told.ids:
            continue
        if any(row["owner_id"] != owner.id for _, row in told.outcomes):
            return ()
        found.append(told)
        if not told.replaced:
            return tuple(found)
        outcome_id = max(told.replaced)
    return ()


def _told_by(change: Change, images: Sequence[RowImage]) -> _Told:
    marks = [each for each in images if each.table == "unsafe_mark"]
    return _Told(
        change=change,
        images=tuple(each for each in images if each not in marks),
        marked=_ids((each.after for each in marks), "machine_id"),
    )


def _check_nothing_stands_on(
    book: Book,
    told: Sequence[_Told],
    changes: Sequence[Change],
    owner: Owner,
    before: CallOutcome,
) -> None:
    """Refuse to take back what later changes stand on.

    Raises:
        OilchartError: names them.
    """
    by_id = {each.id: each for each in changes}
    ids = {each.change.id for each in told}
    standing = {
        later
        for each in told
        for later in book.changes.standing_on(each.change.id, each.images, by_id)
        if later not in ids
    }
    if standing:
        named = ", ".join(
            f"{each} ({by_id[each].words or 'no words'})" for each in sorted(standing)
        )
        raise _refusal(
            owner,
            before,
            f"later changes stand on it: {named}; nothing was changed; take them back first, the "
            f"last one first: oilchart undo {max(standing)}",
        )


def _ids(rows: Iterable[Mapping[str, object] | None], name: str = "id") -> frozenset[int]:
    """The ids in rows."""
    values = ((row or {}).get(name) for row in rows)
    return frozenset(value for value in values if isinstance(value, int))
