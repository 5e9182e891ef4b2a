"""The point lists at hand, shipped and the shop's own."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from oilchart.core.names import plain
from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Mechanism, PointList
from oilchart.errors import FaultyList, UnknownName, near_names, nearest
from oilchart.sources.files.toml_table import Table, shown
from oilchart.sources.packaged import packaged
from oilchart.sources.points.assembly import AssembledList, PointsRead, assembled
from oilchart.sources.points.drawings import DrawingFiles, covering
from oilchart.sources.points.folders import MECHANISMS, MODELS, VIEWS, PointFolders
from oilchart.sources.points.mechanisms import read_mechanism
from oilchart.sources.points.numbers import NUMBERS
from oilchart.sources.points.reference import Reference, read_reference


class PointLibrary:
    """All point lists at hand, each put together once.

    Args:
        folders: points folders; where two have a file of one name, the later one's is taken.
    """

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = PointFolders(folders)
        self.drawing_files = DrawingFiles(self.folders)
        self._lists: dict[tuple[str, ...], AssembledList] = {}
        self._points_read: PointsRead = {}
        self._drawings: dict[tuple[str, ...], ModelDrawings] = {}

    @cached_property
    def reference(self) -> tuple[Reference, tuple[str, ...]]:
        """What the reference files hold, and every fault of them."""
        return read_reference(self.folders.folders)

    def model_ids(self) -> list[str]:
        """The ids of all models, sorted."""
        return list(self.folders.files(MODELS))

    def point_list(self, model: str, mechanisms: Sequence[str] = ()) -> PointList:
        """A model's point list.

        Args:
            model: its id, or its printed name, as `model_called` takes it.
            mechanisms: of one machine that differs from its model; the model's own if left out.

        Raises:
            UnknownName: with the nearest ids and names.
            FaultyList: every fault of its files.
        """
        return self.assembled(model, mechanisms).point_list

    def assembled(self, model: str, mechanisms: Sequence[str] = ()) -> AssembledList:
        """A model's point list with the doubts of its file, as `point_list` gives it."""
        key = (model, *mechanisms)
        if key not in self._lists:
            file = self.file_of(self.model_called(model))
            self._lists[key] = self._assembled(file, None, mechanisms)
        return self._lists[key]

    def model_called(self, name: str) -> str:
        """The id of a model, by its id or its printed name, with its maker's before it or without,
        however they are cased and joined.

        Raises:
            UnknownName: with the nearest ids and names; several models are printed so.
        """
        files = self.folders.files(MODELS)
        if name in files:
            return name
        printed = {model: self._printed(model) for model in files}
        wanted = plain(name)
        found = [
            model
            for model, names in printed.items()
            if wanted and wanted in map(plain, (model, *names))
        ]
        if len(found) == 1:
            return found[0]
        if found:
            raise UnknownName(
                f"model {shown(name)}: is the name of {' and '.join(found)}; give one"
            )
        by_name = (names[0] for names in printed.values() if names)
        near = near_names(name, files) or near_names(name, by_name)
        raise UnknownName(
            f"model {shown(name)}: there is no such model{nearest(name, near or files)}"
        )

    def _printed(self, model: str) -> tuple[str, ...]:
        """The printed name of a model, alone and after its maker's; none of a file that cannot be
        read."""
        try:
            values = self.folders.read(self.file_of(model))
        except FaultyList:
            return ()
        name, maker = values.get("name"), values.get("maker", "")
        return (str(name), f"{maker} {name}") if name else ()

    def _assembled(
        self, file: Path, values: dict[str, Any] | None, mechanisms: Sequence[str] = ()
    ) -> AssembledList:
        """Put a list together from a model's file, or from values that would stand in it."""
        reference, faults = self.reference
        try:
            values = self.folders.read(file) if values is None else values
            found = assembled(file, values, self.folders, reference, mechanisms, self._points_read)
        except FaultyList as broken:
            raise FaultyList([*faults, *broken.faults]) from None
        if faults or found.faults:
            raise FaultyList([*faults, *found.faults])
        return found

    def drawings(self, point_list: PointList) -> ModelDrawings:
        """The drawings of a list at hand, read once, and only for what draws.

        Raises:
            FaultyList: every fault of them, and of the places of points on them.
        """
        key = (point_list.id, *(mechanism for mechanism, _ in point_list.mechanisms))
        if key not in self._drawings:
            self._drawings[key] = self._drawn(point_list, self.file_of(point_list.id))
        return self._drawings[key]

    def _drawn(self, point_list: PointList, file: Path) -> ModelDrawings:
        drawings, faults = self.drawing_files.of_model(point_list, str(file))
        if faults:
            raise FaultyList(faults)
        return drawings

    def draft(self, model: str, values: dict[str, Any]) -> tuple[PointList, ModelDrawings]:
        """Put the point list of a model together that stands in no file yet, with as few drawings
        as show all its points.

        Args:
            values: what its file would hold, without drawings.

        Raises:
            FaultyList: every fault.
        """
        file = Path(MODELS) / f"{model}.toml"
        every_view = list(self.folders.files(VIEWS))
        everything = self._assembled(file, {**values, "views": every_view}).point_list
        views = covering(everything, self._drawn(everything, file))
        point_list = self._assembled(file, {**values, "views": views}).point_list
        return point_list, self._drawn(point_list, file)

    def view(self, view: str) -> View:
        """A drawing.

        Raises:
            UnknownName: with the nearest ids.
            FaultyList: every fault of its file.
        """
        files = self.folders.files(VIEWS)
        if view not in files:
            known = nearest(view, files)
            raise UnknownName(f"drawing {shown(view)}: there is no such drawing{known}")
        drawn, faults = self.drawing_files.view(files[view])
        if faults:
            raise FaultyList(faults)
        return drawn

    def file_of(self, model: str) -> Path:
        """The file of a model at hand."""
        return self.folders.files(MODELS)[model]

    def kept_numbers(self, model: str) -> tuple[str, ...]:
        """The points whose numbers the file of a model without faults keeps, as it has them."""
        return tuple(self.folders.read(self.file_of(model)).get(NUMBERS, ()))

    def changed(self, model: str) -> frozenset[str]:
        """Ids of the points that a model's file changes.

        Raises:
            UnknownName, FaultyList
        """
        return frozenset(self.changes(self.point_list(model).id))

    def changes(self, model: str) -> dict[str, dict[str, Any]]:
        """What the file of a model without faults changes, by point."""
        changes: dict[str, dict[str, Any]] = self.folders.read(self.file_of(model))
        return changes.get("change", {})

    def mechanisms(self) -> dict[str, Mechanism]:
        """All mechanisms at hand, by id.

        Raises:
            FaultyList: every fault of what they say of themselves.
        """
        reference, faults = self.reference
        told, found = [*faults], {}
        for mechanism_id, file in self.folders.files(MECHANISMS).items():
            table = Table(self.folders.read(file), str(file))
            found[mechanism_id] = read_mechanism(file, table, reference)
            told += table.faults
        if told:
            raise FaultyList(told)
        return found

    def known_before(self, point_list: PointList) -> frozenset[str]:
        """The points that a service of before it was kept what its list had is taken to have
        known: those that came along then, and those of lists and mechanisms of the shop's own."""
        reference, _ = self.reference
        own = {point.id for point in point_list.points if not self._comes_along(point.mechanism)}
        return reference.former | own

    @staticmethod
    def _comes_along(mechanism: str) -> bool:
        """Whether a mechanism, or a model for its own points, is one that comes with oilchart, be
        its file the shop's own."""
        files = (packaged("points") / kind / f"{mechanism}.toml" for kind in (MECHANISMS, MODELS))
        return any(file.exists() for file in files)

    def conditions(self) -> dict[str, Condition]:
        """All conditions a machine may work under, by id.

        Raises:
            FaultyList: every fault of the reference files.
        """
        reference, faults = self.reference
        if faults:
            raise FaultyList(faults)
        return reference.conditions
