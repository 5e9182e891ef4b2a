"""How a model's point list is put together from its mechanisms and from what the model says
itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from oilchart import bounds
from oilchart.core.point_lists.edition import edition_code
from oilchart.core.point_lists.mechanisms import going_together
from oilchart.core.point_lists.numbering import numbered
from oilchart.core.point_lists.point_list import Avoid, Edition, Mechanism, Point, PointList
from oilchart.core.units import STITCHES_A_MINUTE
from oilchart.errors import FaultyList
from oilchart.sources.files.toml_table import Table, shown
from oilchart.sources.points.attachments import read_documents, read_wear_parts
from oilchart.sources.points.folders import MECHANISMS, VIEWS, PointFolders
from oilchart.sources.points.mechanisms import check_things, read_mechanism
from oilchart.sources.points.numbers import read_numbers
from oilchart.sources.points.points import read_avoid, read_point
from oilchart.sources.points.reference import Reference

PLUG = "plug"
TURNED_BY = {PLUG, "treadle", "crank"}
PointsRead = dict[tuple[str, int], Point]  # by file, and by which of its points it is


@dataclass(frozen=True, slots=True, kw_only=True)
class AssembledList:
    """A point list as it was put together.

    Args:
        faults: what must be mended first; with any, the list is not to be used.
        doubts: what its file says needlessly.
    """

    point_list: PointList
    faults: tuple[str, ...]
    doubts: tuple[str, ...]


@dataclass(slots=True)
class Parts:
    """What a model's list is put together from, and how it differs from its mechanisms by point id.

    Args:
        place: the file that drops and changes.
        met: ids of all points and do-not points, dropped ones too.
        points_read: those without faults, as they stand in their files; each is read once for all
            models that have it unchanged.
    """

    place: str
    drop: tuple[str, ...] = ()
    change: dict[str, dict[str, Any]] = field(default_factory=dict)
    points: list[Point] = field(default_factory=list)
    avoids: list[Avoid] = field(default_factory=list)
    met: set[str] = field(default_factory=set)
    points_read: PointsRead = field(default_factory=dict)

    def read(self, table: Table, mechanism: str, reference: Reference) -> None:
        """Add the points and do-not points of a mechanism's or a model's file."""
        for at, item in self._kept(table, "point", "point"):
            key = (table.place, at)
            point = None if item.is_changed else self.points_read.get(key)
            if point is None:
                told = len(item.faults) + len(item.doubts)
                point = read_point(item, mechanism, reference)
                is_sound = len(item.faults) + len(item.doubts) == told
                if point is not None and is_sound and not item.is_changed:
                    self.points_read[key] = point
            if point is not None:
                self.points.append(point)
        self.avoids += [
            read_avoid(item, mechanism, reference)
            for _, item in self._kept(table, "avoid", "do-not point")
        ]

    def _kept(self, table: Table, key: str, what: str) -> Iterator[tuple[int, Table]]:
        """The tables that are not dropped, changed as the model wants them, each with its place
        among all."""
        tables = table.tables(key, lambda at, values: f"{what} {shown(values.get('id', at))}")
        for at, item in enumerate(tables):
            stands = item.raw("id")
            item_id = stands if isinstance(stands, str) else ""
            self.met.add(item_id)
            if item_id in self.change:
                item.change(self.change[item_id], f"{self.place}: change {shown(item_id)}")
            if item_id not in self.drop:
                yield at, item


def assembled(
    file: Path,
    values: dict[str, Any],
    folders: PointFolders,
    reference: Reference,
    instead: Sequence[str] = (),
    points_read: PointsRead | None = None,
) -> AssembledList:
    """Put a model's list together.

    Args:
        file: the model's; its name is the model's id.
        values: what stands in it.
        folders: of the mechanisms and drawings.
        instead: mechanisms in the place of the model's own.
        points_read: of the lists put together before, as `Parts` keeps them.

    Raises:
        FaultyList: a mechanism's file cannot be read at all; with the faults met before it.
    """
    table = Table(values, str(file))
    parts = Parts(
        place=str(file),
        drop=table.words("drop"),
        change=table.named_tables("change"),
        points_read={} if points_read is None else points_read,
    )
    named = table.words("mechanisms")
    mechanisms = _mechanisms(table, instead or named, folders, reference, parts)
    parts.read(table, file.stem, reference)
    _check_ids(table, parts, differs=bool(instead))
    point_list = _point_list(file, table, parts, mechanisms, folders, reference)
    point_ids = [point.id for point in parts.points]
    kept = read_numbers(table, file.stem, point_ids, differs=bool(instead))
    point_list = numbered(point_list, kept)
    edition = replace(point_list.edition, code=edition_code(point_list))
    point_list = replace(point_list, edition=edition)
    table.finish()
    return AssembledList(
        point_list=point_list, faults=tuple(table.faults), doubts=tuple(table.doubts)
    )


def _point_list(
    file: Path,
    table: Table,
    parts: Parts,
    mechanisms: Sequence[Mechanism],
    folders: PointFolders,
    reference: Reference,
) -> PointList:
    """Read what a model's file says itself, and join it to the parts."""
    view_ids = _view_ids(table, mechanisms, folders)
    family = table.flag("family")
    own_things = table.words("has")
    has = _has({*own_things, *(thing for mechanism in mechanisms for thing in mechanism.has)})
    stitches_a_minute = _slowest(table, mechanisms)
    table.known_text("source", reference.source_keys, "source")
    point_list = PointList(
        id=file.stem,
        name=table.text("name", most=bounds.NAME_LETTERS),
        maker=table.text("maker", default="" if family else None, most=bounds.NAME_LETTERS),
        about=table.text("about"),
        years=table.optional("years"),
        mechanisms=tuple((mechanism.id, mechanism.name) for mechanism in mechanisms),
        needle_system=table.text("needle_system"),
        needle_flat=table.text("needle_flat"),
        stitches_a_minute=stitches_a_minute,
        bobbin_metres=table.number("bobbin_metres") if "bobbin_metres" in table else None,
        points=tuple(parts.points if PLUG in has else map(_by_hand, parts.points)),
        avoids=tuple(parts.avoids),
        wear_parts=tuple(
            part
            for part in read_wear_parts(table, reference)
            if not part.having or not has.isdisjoint(part.having)
        ),
        documents=read_documents(table, file.parent.parent),
        family=family,
        has=has,
        view_ids=view_ids,
        stages=reference.stages,
        sources=tuple(reference.sources.items()),
        edition=Edition(day=_edited(table, mechanisms)),
    )
    check_things(table, "has", own_things, reference)
    return point_list


def _mechanisms(
    table: Table, ids: Sequence[str], folders: PointFolders, reference: Reference, parts: Parts
) -> list[Mechanism]:
    """Read the mechanisms with their points into the parts, less those that go with something the
    machine has not got."""
    files = folders.files(MECHANISMS)
    known = [each for each in ids if table.known("mechanisms", each, files, "mechanism")]
    try:
        tables = {each: Table(folders.read(files[each]), str(files[each]), table) for each in known}
    except FaultyList as broken:
        raise FaultyList([*table.faults, *broken.faults]) from None
    fitted = going_together(
        read_mechanism(files[each], inner, reference) for each, inner in tables.items()
    )
    for mechanism in fitted:
        parts.read(tables[mechanism.id], mechanism.id, reference)
        tables[mechanism.id].finish()
    return fitted


def _view_ids(
    table: Table, mechanisms: Sequence[Mechanism], folders: PointFolders
) -> tuple[str, ...]:
    """The drawings of a machine: the model's, or what its mechanisms put in their place, and those
    that the mechanisms bring."""
    other = {old: new for mechanism in mechanisms for old, new in mechanism.instead}
    own = [
        other.get(view, view)
        for view in table.words("views")
        if table.known("views", view, folders.files(VIEWS), "drawing")
    ]
    brought = (view for mechanism in mechanisms for view in mechanism.views)
    return tuple(dict.fromkeys([*own, *brought]))


def _edited(table: Table, mechanisms: Sequence[Mechanism]) -> date | None:
    """The latest day on which the model's file or one of its mechanisms' was changed."""
    days = (table.day("edited"), *(mechanism.edited for mechanism in mechanisms))
    return max((day for day in days if day is not None), default=None)


def _by_hand(point: Point) -> Point:
    """A point of a machine that has no plug: it needs no current."""
    return replace(point, power=False) if point.power else point


def _slowest(table: Table, mechanisms: Sequence[Mechanism]) -> int:
    """Stitches a minute of a machine: as its model says, or fewer where a mechanism lets it sew no
    faster."""
    speeds = (each.stitches_a_minute for each in mechanisms)
    most = table.whole("stitches_a_minute") or STITCHES_A_MINUTE
    return min([most, *(speed for speed in speeds if speed is not None)])


def _has(things: set[str]) -> frozenset[str]:
    """What a machine has; where nothing is known to turn it, it is taken to have a plug, since its
    papers must then say so."""
    return frozenset(things if things & TURNED_BY else {*things, PLUG})


def _check_ids(table: Table, parts: Parts, *, differs: bool) -> None:
    """Add faults for ids that stand twice, for changes of points that are not there, and where
    there are no points at all.

    Args:
        differs: one machine has other mechanisms than its model, whose changes may then be of
            points that are not there.
    """
    if not parts.met:
        table.missing(
            "mechanisms",
            'a list has points: write mechanisms = ["drop-feed", "..."], or [[point]] for each of '
            "its own",
        )
    ids = [point.id for point in parts.points] + [avoid.id for avoid in parts.avoids]
    for twice in sorted({item_id for item_id in ids if ids.count(item_id) > 1}):
        table.fault("id", twice, "two points have this id", "give one of them another id")
    for item_id in [] if differs else [*parts.drop, *parts.change]:
        table.known(
            "change" if item_id in parts.change else "drop",
            item_id,
            parts.met,
            "point of its mechanisms",
        )
