"""Knows the point lists, shipped and the shop's own, and puts a model's point list together from
its mechanisms."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from oilchart.core.lists.conditions import Condition
from oilchart.core.lists.doubts import doubts
from oilchart.core.lists.mechanisms import going_together
from oilchart.core.lists.point_list import (
    Avoid,
    Document,
    Mechanism,
    Point,
    PointList,
    View,
    WearPart,
)
from oilchart.core.units import STITCHES_A_MINUTE
from oilchart.errors import FaultyList, UnknownName, nearest
from oilchart.sources.files.toml_table import Table, read_toml, shown, toml_files
from oilchart.sources.points.drawings import read_view
from oilchart.sources.points.points import read_avoid, read_id, read_point
from oilchart.sources.points.reference import PRACTICE, REFERENCE_FILES, Reference, read_reference

PLUG = "plug"
TURNED_BY = {PLUG, "treadle", "crank"}
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
        self.avoids += [
            read_avoid(item, mechanism, reference)
            for item in self._kept(table, "avoid", "do-not point")
        ]

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


class PointLibrary:
    """All point lists at hand.

    Args:
        folders: points folders; where two have a file of one name, the later one's is taken.
    """

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders = [folder for folder in folders if folder.is_dir()]
        self._faults: list[str] = []
        self._reference: Reference | None = None
        self._charts: dict[tuple[str, ...], PointList] = {}
        self._read_views: dict[Path, tuple[View, str | None, str | None, list[str]]] = {}

    def model_ids(self) -> list[str]:
        """The ids of all models, sorted."""
        return self._ids("models")

    def point_list(self, model: str, mechanisms: Sequence[str] = ()) -> PointList:
        """Put a model's point list together, once.

        Args:
            mechanisms: of one machine that differs from its model; the model's own if left out.

        Raises:
            UnknownName: with the nearest ids.
            FaultyList: every fault of its files.
        """
        key = (model, *mechanisms)
        if key not in self._charts:
            self._charts[key] = self._chart(model, mechanisms)
        return self._charts[key]

    def _chart(self, model: str, mechanisms: Sequence[str]) -> PointList:
        ids = self.model_ids()
        if model not in ids:
            raise UnknownName(f"model {shown(model)}: there is no such model{nearest(model, ids)}")
        faults: list[str] = []
        try:
            file = self._file("models", model)
            point_list = self._assemble(file, read_toml(file), faults, mechanisms)
        except FaultyList as broken:
            faults += broken.faults
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return point_list

    def draft(self, model: str, values: dict[str, Any]) -> PointList:
        """Put the point list of a model together that stands in no file yet, with as few drawings
        as show all its points.

        Args:
            values: what its file would hold, without drawings.

        Raises:
            FaultyList: every fault.
        """
        faults: list[str] = []
        file = Path("models") / f"{model}.toml"
        everything = self._assemble(file, {**values, "views": self._ids("views")}, faults)
        point_list = self._assemble(file, {**values, "views": _covering(everything)}, faults)
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return point_list

    def view(self, view: str) -> View:
        """A drawing.

        Raises:
            UnknownName: with the nearest ids.
            FaultyList: every fault of its file.
        """
        ids = self._ids("views")
        if view not in ids:
            raise UnknownName(
                f"drawing {shown(view)}: there is no such drawing{nearest(view, ids)}"
            )
        faults: list[str] = []
        drawn, _ = self._view(self._file("views", view), faults)
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return drawn

    def changed(self, model: str) -> frozenset[str]:
        """Ids of the points that a model's file changes.

        Raises:
            UnknownName, FaultyList
        """
        self.point_list(model)
        return frozenset(read_toml(self._file("models", model)).get("change", {}))

    def mechanisms(self) -> dict[str, Mechanism]:
        """All mechanisms at hand, by id.

        Raises:
            FaultyList: every fault of what they say of themselves.
        """
        faults: list[str] = []
        reference = self._read_reference(faults)
        found = {}
        for mechanism_id in self._ids("mechanisms"):
            file = self._file("mechanisms", mechanism_id)
            found[mechanism_id] = _mechanism(
                file, Table(read_toml(file), str(file), faults), reference
            )
        if faults:
            raise FaultyList(dict.fromkeys(faults))
        return found

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
        """Every fault of the files or folders named, or of all lists at hand, each once, in file
        order.

        A points folder that is not at hand, named itself or by a file in it, is taken as the last
        one.

        Raises:
            UnknownName: a path that is not there.
        """
        faults: list[str] = []
        for path in list(paths) or self._folders:
            home = _points_folder(path)
            if (
                path.is_file()
                and path.parent.name not in KINDS
                and (home != path.parent or path.name not in REFERENCE_FILES)
            ):
                faults.append(
                    f"{path}: is no list of a points folder: move it into {', '.join(KINDS[:-1])} or {KINDS[-1]}"
                )
            at_hand = home is None or home.resolve() in [
                folder.resolve() for folder in self._folders
            ]
            library = self if home is None or at_hand else PointLibrary([*self._folders, home])
            faults += library._faults_in(path)
        return list(dict.fromkeys(faults))

    def doubts(self, paths: Iterable[Path] = (), *, least_days: int) -> list[str]:
        """What is doubtful in the models of the files or folders named, or of all lists at hand,
        once they have no fault."""
        told: dict[str, None] = {}
        for path in list(paths) or self._folders:
            home = _points_folder(path)
            at_hand = home is None or home.resolve() in [
                folder.resolve() for folder in self._folders
            ]
            library = self if home is None or at_hand else PointLibrary([*self._folders, home])
            for file in library._files_in(path):
                for model in library._models_of(file):
                    told.update(
                        dict.fromkeys(
                            library._doubts_in(
                                model, None if file.parent.name == "models" else file, least_days
                            )
                        )
                    )
        return list(told)

    def _models_of(self, file: Path) -> list[str]:
        """The models on which a file has a say: a model's own, or all that are put together from a
        mechanism."""
        if file.parent.name == "models":
            return [file.stem]
        if file.parent.name != "mechanisms":
            return []
        return [
            model
            for model in self.model_ids()
            if file.stem in dict(self.point_list(model).mechanisms)
        ]

    def _doubts_in(self, model: str, only: Path | None, least_days: int) -> Iterator[str]:
        """The doubts of a model's list, each with the file in which its point stands; of one file
        only, if it is given."""
        point_list = self.point_list(model)
        reference = self._read_reference([])
        changed: dict[str, dict[str, Any]] = read_toml(self._file("models", model)).get(
            "change", {}
        )
        for doubt in doubts(
            point_list, spreads=reference.spreads, nevers=reference.nevers, least_days=least_days
        ):
            point = doubt.point
            own = (
                point.mechanism == model
                or doubt.key in changed.get(point.id, {})
                or doubt.key == "at"
            )
            file = self._file("models", model) if own else self._file("mechanisms", point.mechanism)
            if only is None or file == only:
                value = f": {shown(doubt.value)}" if doubt.value else ""
                yield f'{file}: point "{point.id}": {doubt.key}{value}: {doubt.odd}; {doubt.remedy}'

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
            table = Table(read_toml(file), str(file), faults)
            _mechanism(file, table, reference)
            _Parts(place=str(file)).read(table, file.stem, reference)
            table.finish()
        elif file.parent.name == "views":
            self._view(file, faults)
        elif file.parent.name == "models":
            self._assemble(file, read_toml(file), faults)

    def _files_in(self, path: Path) -> list[Path]:
        if path.is_dir():
            return toml_files(path, "**/*.toml")
        if path.is_file():
            return [path]
        raise UnknownName(f"{path}: there is no such file or folder")

    def _ids(self, kind: str) -> list[str]:
        return sorted(
            {file.stem for folder in self._folders for file in toml_files(folder, f"{kind}/*.toml")}
        )

    def _file(self, kind: str, name: str) -> Path:
        """The file of that name in the last folder that has one."""
        return next(
            file
            for folder in reversed(self._folders)
            if (file := folder / kind / f"{name}.toml").is_file()
        )

    def _read_reference(self, faults: list[str]) -> Reference:
        if self._reference is None:
            self._reference = read_reference(self._folders, self._faults)
        faults += self._faults
        return self._reference

    def _view(
        self, file: Path, faults: list[str], above: tuple[str, ...] = ()
    ) -> tuple[View, tuple[str, ...]]:
        """A drawing, with the size and after the shapes of the one it is like.

        Args:
            above: ids of the drawings that are like this one.

        Returns:
            The drawing, and the ids of all drawings whose points lie on it, its own first.
        """
        if file not in self._read_views:
            told: list[str] = []
            self._read_views[file] = (*read_view(file, told), told)
        view, like, places_of, told = self._read_views[file]
        faults += told
        if places_of is not None:
            known = [other for other in self._ids("views") if other != view.id]
            if places_of not in known:
                faults.append(
                    f"{file}: places_of: there is no such drawing: {shown(places_of)}{nearest(places_of, known)}"
                )
                return view, (view.id,)
            return view, (view.id, places_of)
        if like is None:
            return view, (view.id,)
        others = [other for other in self._ids("views") if other not in (*above, view.id)]
        if like not in others:
            wrong = (
                "there is no such drawing"
                if like not in (*above, view.id)
                else "the drawing would be like itself"
            )
            faults.append(f"{file}: like: {wrong}: {shown(like)}{nearest(like, others)}")
            return view, (view.id,)
        base, lies_on = self._view(self._file("views", like), faults, (*above, view.id))
        whole = replace(
            view,
            shapes=base.shapes + view.shapes,
            like=like,
            width=base.width,
            height=base.height,
            photo=base.photo,
        )
        return whole, (view.id, *lies_on)

    def _assemble(
        self, file: Path, values: dict[str, Any], faults: list[str], instead: Sequence[str] = ()
    ) -> PointList:
        """Put a model's list together; with faults added, what comes back is not to be used.

        Args:
            instead: mechanisms in the place of the model's own.
        """
        reference = self._read_reference(faults)
        table = Table(values, str(file), faults)
        parts = _Parts(
            place=str(file),
            drop=frozenset(table.words("drop")),
            change=table.named_tables("change"),
        )
        named = table.words("mechanisms")
        mechanisms = self._read_mechanisms(table, instead or named, reference, parts)
        parts.read(table, file.stem, reference)
        _check_ids(table, parts, differs=bool(instead))
        other_front = {old: new for mechanism in mechanisms for old, new in mechanism.instead}
        own = [
            other_front.get(view, view)
            for view in table.words("views")
            if table.known("views", view, self._ids("views"), "drawing")
        ]
        wanted = dict.fromkeys(
            [*own, *(view for mechanism in mechanisms for view in mechanism.views)]
        )
        views = [self._view(self._file("views", view), faults) for view in wanted]
        points = tuple(_placed(point, views) for point in parts.points)
        shown = {place.view for point in points for place in point.places}
        family = table.flag("family")
        has = _has(
            {*table.words("has"), *(thing for mechanism in mechanisms for thing in mechanism.has)}
        )
        speeds = [
            table.whole("stitches_a_minute") or STITCHES_A_MINUTE,
            *(each.stitches_a_minute for each in mechanisms),
        ]
        table.known_text("source", [*reference.sources, PRACTICE], "source")
        point_list = PointList(
            id=file.stem,
            name=table.text("name"),
            maker=table.text("maker", default="" if family else None),
            about=table.text("about"),
            years=table.optional("years"),
            mechanisms=tuple((mechanism.id, mechanism.name) for mechanism in mechanisms),
            needle_system=table.text("needle_system"),
            needle_flat=table.text("needle_flat"),
            stitches_a_minute=min(speed for speed in speeds if speed is not None),
            bobbin_metres=table.number("bobbin_metres") if "bobbin_metres" in table else None,
            points=points,
            avoids=tuple(parts.avoids),
            wear_parts=tuple(
                part
                for part in _wear_parts(table, reference)
                if not part.having or not has.isdisjoint(part.having)
            ),
            documents=_documents(table, file.parent.parent),
            family=family,
            has=has,
            views=tuple(view for at, (view, _) in enumerate(views) if at == 0 or view.id in shown),
            stages=reference.stages,
            sources=tuple(reference.sources.items()),
        )
        for thing in table.words("has"):
            table.known("has", thing, sorted(reference.things), "thing the order of work knows")
        _check_places(table, point_list)
        table.finish()
        return point_list

    def _read_mechanisms(
        self, table: Table, ids: Sequence[str], reference: Reference, parts: _Parts
    ) -> list[Mechanism]:
        """Read the mechanisms with their points into the parts, less those that go with something
        the machine has not got."""
        known = [
            mechanism
            for mechanism in ids
            if table.known("mechanisms", mechanism, self._ids("mechanisms"), "mechanism")
        ]
        files = {mechanism: self._file("mechanisms", mechanism) for mechanism in known}
        tables = {
            mechanism: Table(read_toml(file), str(file), table.faults)
            for mechanism, file in files.items()
        }
        read = [
            _mechanism(files[mechanism], inner, reference) for mechanism, inner in tables.items()
        ]
        fitted = going_together(read)
        for mechanism in fitted:
            parts.read(tables[mechanism.id], mechanism.id, reference)
            tables[mechanism.id].finish()
        return fitted


def _has(things: set[str]) -> frozenset[str]:
    """What a machine has; where nothing is known to turn it, it is taken to have a plug, since its
    papers must then say so."""
    return frozenset(things if things & TURNED_BY else {*things, PLUG})


def _covering(point_list: PointList) -> list[str]:
    """Drawings that together show all points that any drawing shows, the one that shows most
    first."""
    unseen = {
        point.id: {place.view for place in point.places}
        for point in point_list.points
        if point.places
    }
    chosen: list[str] = []
    while unseen:
        shown_by = Counter(view for views in unseen.values() for view in views)
        chosen.append(max(sorted(shown_by), key=shown_by.__getitem__))
        unseen = {point: views for point, views in unseen.items() if chosen[-1] not in views}
    return chosen


def _points_folder(path: Path) -> Path | None:
    """The points folder that a path is, holds or lies in."""
    near = (path, path / "points", path.parent, path.parent.parent)
    return next(
        (folder for folder in near if any((folder / kind).is_dir() for kind in KINDS)), None
    )


def _mechanism(file: Path, table: Table, reference: Reference) -> Mechanism:
    """What a mechanism's file says of the mechanism."""
    mechanism = Mechanism(
        id=file.stem,
        name=table.text("name"),
        kind=table.text("kind"),
        about=table.text("about"),
        has=table.words("has"),
        goes_with=table.optional("goes_with"),
        views=table.words("views"),
        instead=_instead(table, reference),
        stitches_a_minute=table.whole("stitches_a_minute"),
    )
    for thing in [*mechanism.has, *([mechanism.goes_with] if mechanism.goes_with else [])]:
        table.known(
            "has" if thing in mechanism.has else "goes_with",
            thing,
            sorted(reference.things),
            "thing the order of work knows",
        )
    known = [
        view
        for view in mechanism.views
        if table.known("views", view, sorted(reference.views), "drawing")
    ]
    return replace(mechanism, views=tuple(known))


def _instead(table: Table, reference: Reference) -> tuple[tuple[str, str], ...]:
    """Pairs of drawings, each with the one that takes its place."""
    value = table.raw("instead")
    if value is None:
        return ()
    if not isinstance(value, dict) or not all(isinstance(new, str) for new in value.values()):
        table.fault(
            "instead",
            value,
            "is no table of drawings",
            'write instead = { flatbed-front = "another-front" }',
        )
        return ()
    pairs = tuple((str(old), str(new)) for old, new in value.items())
    known = sorted(reference.views)
    missing = [
        view
        for pair in pairs
        for view in pair
        if not table.known("instead", view, known, "drawing")
    ]
    return () if missing else pairs


def _placed(point: Point, views: Sequence[tuple[View, tuple[str, ...]]]) -> Point:
    """The point with its places on the drawings of this model; a drawing like another has the
    places of that one."""
    places = {
        view.id: replace(place, view=view.id)
        for place in reversed(point.places)
        for view, lies_on in reversed(views)
        if place.view in lies_on
    }
    return replace(point, places=tuple(reversed(places.values())))


def _check_places(table: Table, point_list: PointList) -> None:
    """Add a fault for every point that lies outside its drawing."""
    sizes = {view.id: (view.width, view.height) for view in point_list.views}
    for point in point_list.points:
        for place in point.places:
            wide, high = sizes[place.view]
            if not (0 <= place.x <= wide and 0 <= place.y <= high):
                at = f"{place.x:g}, {place.y:g}"
                table.fault(
                    f'point "{point.id}": at',
                    at,
                    "lies outside the drawing",
                    f"{place.view} is {wide:g} wide and {high:g} high",
                )


def _check_ids(table: Table, parts: _Parts, *, differs: bool) -> None:
    """Add faults for ids that stand twice, for changes of points that are not there, and where
    there are no points at all.

    Args:
        differs: one machine has other mechanisms than its model, whose changes may then be of
            points that are not there.
    """
    if not parts.met:
        table.missing(
            "mechanisms",
            'a list has points: write mechanisms = ["drop-feed", "..."], or [[point]] for each of its own',
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
                price=item.optional("price"),
                having=item.words("having"),
            )
        )
        for thing in parts[-1].having:
            item.known("having", thing, sorted(reference.things), "thing the order of work knows")
        item.finish()
    return tuple(parts)


def _documents(table: Table, home: Path) -> tuple[Document, ...]:
    """The manuals, each an address or a file of the points folder."""
    documents = []
    for item in table.tables(
        "document", lambda at, item: f"document {shown(item.get('title', at))}"
    ):
        title, path, address = item.text("title"), item.optional("path"), item.optional("address")
        if (path is None) == (address is None):
            item.missing(
                "path", 'a document has a path or an address: path = "manuals/heron-3.pdf"'
            )
        elif path is not None:
            file = (home / path).resolve()
            if not file.is_file():
                item.fault(
                    "path", path, "there is no such file", f"put it at {file}, or mend the path"
                )
            documents.append(Document(title=title, address=file.as_uri()))
        elif address is not None and not address.startswith(("https://", "http://")):
            item.fault(
                "address",
                address,
                "is no address of a page",
                'write it from "https://" on, or use path = "..."',
            )
        else:
            documents.append(Document(title=title, address=address or ""))
        item.finish()
    return tuple(documents)
