"""The points folders at hand, and which file of which folder stands for a name."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from oilchart.sources.files.toml_table import read_toml, toml_files

KINDS = (MECHANISMS, MODELS, VIEWS) = (
    "mechanisms",
    "models",
    "views",
)  # folders of a points folder


class PointFolders:
    """Points folders with their files, each read once.

    Args:
        folders: where two have a file of one name, the later one's is taken.
    """

    def __init__(self, folders: Sequence[Path]) -> None:
        self.folders = tuple(folder for folder in folders if folder.is_dir())
        self._files: dict[str, dict[str, Path]] = {}
        self._read: dict[Path, dict[str, Any]] = {}

    def files(self, kind: str) -> dict[str, Path]:
        """The files of one kind that are taken, by name, sorted."""
        if kind not in self._files:
            found = {
                file.stem: file
                for folder in self.folders
                for file in toml_files(folder, f"{kind}/*.toml")
            }
            self._files[kind] = dict(sorted(found.items()))
        return self._files[kind]

    def read(self, file: Path) -> dict[str, Any]:
        """What stands in a file.

        Raises:
            FaultyList: it cannot be read.
        """
        if file not in self._read:
            self._read[file] = read_toml(file)
        return self._read[file]

    def has(self, folder: Path) -> bool:
        """Whether a points folder is at hand."""
        return folder.resolve() in [mine.resolve() for mine in self.folders]


def points_folder(path: Path) -> Path | None:
    """The points folder that a path is, holds or lies in."""
    near = (path, path / "points", path.parent, path.parent.parent)
    return next(
        (folder for folder in near if any((folder / kind).is_dir() for kind in KINDS)), None
    )
