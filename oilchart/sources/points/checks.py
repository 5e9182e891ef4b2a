"""What `models check` tells: every fault of point lists and drawings, and what is doubtful in lists
without a fault."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from oilchart.core.point_lists.doubts import doubts
from oilchart.errors import FaultyList, UnknownName
from oilchart.sources.files.toml_table import Table, shown, toml_files
from oilchart.sources.points.assembly import Parts, assembled
from oilchart.sources.points.folders import KINDS, MECHANISMS, MODELS, VIEWS, points_folder
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.points.mechanisms import read_mechanism
from oilchart.sources.points.reference import REFERENCE_FILES


def list_faults(library: PointLibrary, paths: Iterable[Path] = ()) -> list[str]:
    """Every fault of the files or folders named, or of all lists at hand, each once, in file order.

    A points folder that is not at hand, named itself or by a file in it, is taken as the last one.

    Raises:
        UnknownName: a path that is not there.
    """
    told: dict[str, None] = {}  # a mechanism's fault is met again in every list that has it
    for path in list(paths) or library.folders.folders:
        told.update(dict.fromkeys(_faults_in(_library_with(library, path), path)))
    return list(told)


def list_doubts(library: PointLibrary, paths: Iterable[Path] = (), *, least_days: int) -> list[str]:
    """What is doubtful in the models of the files or folders named, or of all lists at hand, once
    they have no fault.

    Args:
        least_days: the shop's least time between two services of a machine.
    """
    told: dict[str, None] = {}
    for path in list(paths) or library.folders.folders:
        at_hand = _library_with(library, path)
        found: dict[str, list[tuple[Path, str]]] = {}  # by model, whose mechanisms others share
        for file in _files_in(path):
            for model in _models_of(at_hand, file):
                if model not in found:
                    found[model] = list(_doubts_in(at_hand, model, least_days))
                whole = file.parent.name == MODELS
                told.update((line, None) for place, line in found[model] if whole or place == file)
    return list(told)


def _library_with(library: PointLibrary, path: Path) -> PointLibrary:
    """The lists at hand, with the points folder of a path as the last one."""
    home = points_folder(path)
    if home is None or library.folders.has(home):
        return library
    return PointLibrary([*library.folders.folders, home])


def _files_in(path: Path) -> list[Path]:
    if path.is_dir():
        return toml_files(path, "**/*.toml")
    if path.is_file():
        return [path]
    raise UnknownName(f"{path}: there is no such file or folder")


def _faults_in(library: PointLibrary, path: Path) -> Iterator[str]:
    """The faults of a file or folder, after those of the reference files."""
    astray = path.is_file() and path.parent.name not in KINDS
    if astray and (points_folder(path) != path.parent or path.name not in REFERENCE_FILES):
        kinds = f"{', '.join(KINDS[:-1])} or {KINDS[-1]}"
        yield f"{path}: is no list of a points folder: move it into {kinds}"
    _, faults = library.reference
    yield from faults
    for file in _files_in(path):
        try:
            yield from _faults_of(library, file)
        except FaultyList as broken:
            yield from broken.faults


def _faults_of(library: PointLibrary, file: Path) -> Iterator[str]:
    """The faults of one file, read as what its folder says it is."""
    reference, _ = library.reference
    if file.parent.name == MECHANISMS:
        table = Table(library.folders.read(file), str(file))
        read_mechanism(file, table, reference)
        Parts(place=str(file)).read(table, file.stem, reference)
        table.finish()
        yield from table.faults
    elif file.parent.name == VIEWS:
        yield from library.drawing_files.view(file)[1]
    elif file.parent.name == MODELS:
        values = library.folders.read(file)
        found = assembled(file, values, library.folders, reference)
        yield from found.faults
        yield from library.drawing_files.of_model(found.point_list, str(file))[1]


def _models_of(library: PointLibrary, file: Path) -> list[str]:
    """The models on which a file has a say: a model's own, or all that are put together from a
    mechanism."""
    if file.parent.name == MODELS:
        return [file.stem]
    if file.parent.name != MECHANISMS:
        return []
    return [
        model
        for model in library.model_ids()
        if file.stem in dict(library.point_list(model).mechanisms)
    ]


def _doubts_in(library: PointLibrary, model: str, least_days: int) -> Iterator[tuple[Path, str]]:
    """The doubts of a model's list, each after the file in which its point stands."""
    found = library.assembled(model)
    file = library.folders.files(MODELS)[model]
    yield from ((file, doubt) for doubt in found.doubts)
    reference, _ = library.reference
    changes = library.changes(model)
    mechanisms = library.folders.files(MECHANISMS)
    for doubt in doubts(
        found.point_list,
        library.drawings(found.point_list),
        spreads=reference.spreads,
        nevers=reference.nevers,
        least_days=least_days,
    ):
        point = doubt.point
        own = (
            point.mechanism == model or doubt.key in changes.get(point.id, {}) or doubt.key == "at"
        )
        place = file if own else mechanisms[point.mechanism]
        value = f": {shown(doubt.value)}" if doubt.value else ""
        yield place, f'{place}: point "{point.id}": {doubt.key}{value}: {doubt.odd}; {doubt.remedy}'
