"""Knows the point lists, shipped and the shop's own, and puts a model's chart together from its mechanisms."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from oilchart.core.chart import Avoid, Chart, Point, View, WearPart
from oilchart.core.conditions import Condition
from oilchart.core.units import STITCHES_A_MINUTE
from oilchart.errors import FaultyList, UnknownName, nearest
from oilchart.sources.points import read_avoid, read_id, read_point
from oilchart.sources.reference import PRACTICE, REFERENCE_FILES, Reference, read_reference
from oilchart.sources.tables import Table, read_toml, shown, toml_files
from oilchart.sources.views import read_view

KINDS = ("mechanisms", "models", "views")  # folders of a points folder


@dataclass(slots=True)
class _Parts:
    """What a model's list is put together from, and how it differs from its mechanisms by point id.

    Args:
        place: the file that drops and changes.
        met: ids of all points and do-not points, dropped ones too.
    """

    place: str
    drop: frozenset[str] = frozenset()
    change: dict[str, dict[str, Any]] = field(default_factory=dict)
    points: list[Point] = field(default_factory=list)
    avoids: list[Avoid] = field(default_factory=list)
    met: set[str] = field(default_factory=set)

    def read(self, table: Table, mechanism: str, reference: Reference) -> None:
        """Add the points and do-not points of a mechanism's or a model's file."""
        for item in self._kept(table, "point", "point"):
            if (point := read_point(item, mechanism, reference)) is not None:
                self.points.append(point)
        self.avoids += [read_avoid(item, mechanism, reference) for item in self._kept(table, "avoid", "do-not point")]

    def _kept(self, table: Table, key: str, what: str) -> Iterator[Table]:
        """The tables that are not dropped, changed as the model wants them."""
        for item in table.tables(key, lambda at, values: f"{what} {shown(values.get('id', at))}"):
            stands = item.raw("id")
            item_id = stands if isinstance(stands, str) else ""
            self.met.add(item_id)
            if item_id in self.change:
                item.change(self.change[item_id], f"{self.place}: change {shown(item_id)}")
            if item_id not in self.drop:
                yield item


class Shelf:
    """All point lists at hand.

    Args:
        folders: points folders; where two have a file of one name, the later one's is taken.
    """

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders = [folder for folder in folders if folder.is_dir()]
        self._faults: list[str] = []
        self._reference: Reference | None = None

    def model_ids(self) -> list[str]:
        """The ids of all models, sorted."""
        return self._ids("models")

    def chart(self, model: str) -> Chart:
        """Put a model's chart together.

        Raises:
            UnknownName: with the nearest ids.
            FaultyList: every fault of its files.
        """
        ids = self.model_ids()
        if model not in ids:
            raise UnknownName(f"model {shown(model)}: there is no such model{nearest(model, ids)}")
        faults: list[str] = []
        try:
            chart = self._assemble(self._file("models", model), faults)
        except FaultyList as broken:
            faults += broken.faults
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return chart

    def conditions(self) -> dict[str, Condition]:
        """All conditions a machine may work under, by id.

        Raises:
            FaultyList: every fault of the reference files.
        """
        faults: list[str] = []
        conditions = self._read_reference(faults).conditions
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return conditions

    def faults(self, paths: Iterable[Path] = ()) -> list[str]:
        """Every fault of the files or folders named, or of all lists at hand, each once, in file order.

        A points folder that is not at hand, named itself or by a file in it, is taken as the last one.

        Raises:
            UnknownName: a path that is not there.
        """
        faults: list[str] = []
        for path in list(paths) or self._folders:
            home = _points_folder(path)
            if path.is_file() and path.parent.name not in KINDS and (home != path.parent or path.name not in REFERENCE_FILES):
                faults.append(f"{path}: is no list of a points folder: move it into {', '.join(KINDS[:-1])} or {KINDS[-1]}")
            at_hand = home is None or home.resolve() in [folder.resolve() for folder in self._folders]
            shelf = self if home is None or at_hand else Shelf([*self._folders, home])
            faults += shelf._faults_in(path)
        return list(dict.fromkeys(faults))

    def _faults_in(self, path: Path) -> list[str]:
        faults: list[str] = []
        self._read_reference(faults)
        for file in self._files_in(path):
            try:
                self._check(file, faults)
            except FaultyList as broken:
                faults += broken.faults
        return faults

    def _check(self, file: Path, faults: list[str]) -> None:
        """Read one file by what its folder says it is."""
        reference = self._read_reference(faults)
        if file.parent.name == "mechanisms":
            self._mechanism(file, reference, faults, _Parts(place=str(file)))
        elif file.parent.name == "views":
            self._view(file, faults)
        elif file.parent.name == "models":
            self._assemble(file, faults)

    def _files_in(self, path: Path) -> list[Path]:
        if path.is_dir():
            return toml_files(path, "**/*.toml")
        if path.is_file():
            return [path]
        raise UnknownName(f"{path}: there is no such file or folder")

    def _ids(self, kind: str) -> list[str]:
        return sorted({file.stem for folder in self._folders for file in toml_files(folder, f"{kind}/*.toml")})

    def _file(self, kind: str, name: str) -> Path:
        """The file of that name in the last folder that has one."""
        return next(file for folder in reversed(self._folders) if (file := folder / kind / f"{name}.toml").is_file())

    def _read_reference(self, faults: list[str]) -> Reference:
        if self._reference is None:
            self._reference = read_reference(self._folders, self._faults)
        faults += self._faults
        return self._reference

    def _mechanism(self, file: Path, reference: Reference, faults: list[str], parts: _Parts) -> str:
        """Read a mechanism's points into the parts; its name is given back."""
        table = Table(read_toml(file), str(file), faults)
        name = table.text("name")
        table.text("kind")
        table.text("about")
        parts.read(table, file.stem, reference)
        table.finish()
        return name

    def _view(self, file: Path, faults: list[str], above: tuple[str, ...] = ()) -> tuple[View, tuple[str, ...]]:
        """A drawing, with the size and after the shapes of the one it is like.

        Args:
            above: ids of the drawings that are like this one.

        Returns:
            The drawing, and the ids of all drawings whose points lie on it, its own first.
        """
        view, like = read_view(file, faults)
        if like is None:
            return view, (view.id,)
        others = [other for other in self._ids("views") if other not in (*above, view.id)]
        if like not in others:
            wrong = "there is no such drawing" if like not in (*above, view.id) else "the drawing would be like itself"
            faults.append(f"{file}: like: {wrong}: {shown(like)}{nearest(like, others)}")
            return view, (view.id,)
        base, lies_on = self._view(self._file("views", like), faults, (*above, view.id))
        whole = replace(view, shapes=base.shapes + view.shapes, like=like, width=base.width, height=base.height)
        return whole, (view.id, *lies_on)

    def _assemble(self, file: Path, faults: list[str]) -> Chart:
        """Put a model's list together; with faults added, what comes back is not to be used."""
        reference = self._read_reference(faults)
        table = Table(read_toml(file), str(file), faults)
        parts = _Parts(place=str(file), drop=frozenset(table.words("drop")), change=table.named_tables("change"))
        mechanisms = tuple(
            (mechanism, self._mechanism(self._file("mechanisms", mechanism), reference, faults, parts))
            for mechanism in table.words("mechanisms")
            if table.known("mechanisms", mechanism, self._ids("mechanisms"), "mechanism")
        )
        parts.read(table, file.stem, reference)
        _check_ids(table, parts)
        views = [
            self._view(self._file("views", view), faults)
            for view in table.words("views")
            if table.known("views", view, self._ids("views"), "drawing")
        ]
        table.known_text("source", [*reference.sources, PRACTICE], "source")
        chart = Chart(
            id=file.stem,
            name=table.text("name"),
            maker=table.text("maker"),
            about=table.text("about"),
            years=table.optional("years"),
            mechanisms=mechanisms,
            needle_system=table.text("needle_system"),
            needle_flat=table.text("needle_flat"),
            stitches_a_minute=table.whole("stitches_a_minute") or STITCHES_A_MINUTE,
            bobbin_metres=table.number("bobbin_metres") if "bobbin_metres" in table else None,
            points=tuple(_placed(point, views) for point in parts.points),
            avoids=tuple(parts.avoids),
            wear_parts=_wear_parts(table, reference),
            views=tuple(view for view, _ in views),
            stages=reference.stages,
            sources=tuple(reference.sources.items()),
        )
        _check_places(table, chart)
        table.finish()
        return chart


def _points_folder(path: Path) -> Path | None:
    """The points folder that a path is, holds or lies in."""
    near = (path, path / "points", path.parent, path.parent.parent)
    return next((folder for folder in near if any((folder / kind).is_dir() for kind in KINDS)), None)


def _placed(point: Point, views: Iterable[tuple[View, tuple[str, ...]]]) -> Point:
    """The point with its place on a drawing of this model, or without one; a drawing like another has the places of that one."""
    place = point.place
    if place is None:
        return point
    view = next((view for view, lies_on in views if place.view in lies_on), None)
    return replace(point, place=None if view is None else replace(place, view=view.id))


def _check_places(table: Table, chart: Chart) -> None:
    """Add a fault for every point that lies outside its drawing."""
    sizes = {view.id: (view.width, view.height) for view in chart.views}
    for point in chart.points:
        place = point.place
        if place is not None and not (0 <= place.x <= sizes[place.view][0] and 0 <= place.y <= sizes[place.view][1]):
            wide, high = sizes[place.view]
            at = f"{place.x:g}, {place.y:g}"
            table.fault(f'point "{point.id}": at', at, "lies outside the drawing", f"{place.view} is {wide:g} wide and {high:g} high")


def _check_ids(table: Table, parts: _Parts) -> None:
    """Add faults for ids that stand twice, for changes of points that are not there, and where there are no points at all."""
    if not parts.met:
        table.missing("mechanisms", 'a list has points: write mechanisms = ["drop-feed", "..."], or [[point]] for each of its own')
    ids = [point.id for point in parts.points] + [avoid.id for avoid in parts.avoids]
    for twice in sorted({item_id for item_id in ids if ids.count(item_id) > 1}):
        table.fault("id", twice, "two points have this id", "give one of them another id")
    for item_id in [*parts.drop, *parts.change]:
        table.known("change" if item_id in parts.change else "drop", item_id, parts.met, "point of its mechanisms")


def _wear_parts(table: Table, reference: Reference) -> tuple[WearPart, ...]:
    parts = []
    for item in table.tables("wear", lambda at, item: f"wear part {shown(item.get('id', at))}"):
        parts.append(
            WearPart(
                id=read_id(item),
                name=item.text("name"),
                part=item.text("part"),
                replace_years=item.whole("replace_years"),
                replace_hours=item.whole("replace_hours"),
                stock_minimum=item.whole("stock_minimum"),
                source=item.known_text("source", [*reference.sources, PRACTICE], "source"),
            )
        )
        item.finish()
    return tuple(parts)
