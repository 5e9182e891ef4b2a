"""A photo of the shop's own as a drawing; the library that reads pictures is only waited for when
one is read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import ModuleType


@dataclass(frozen=True)
class PhotoFile:
    """A photo in a points folder; its picture is read when it is wanted."""

    path: Path

    @cached_property
    def size(self) -> tuple[float, float]:
        """Width and height in drawing units, turned upright.

        Raises:
            FaultyList: it is no photo that can be read.
        """
        size: tuple[float, float] = _reading().photo_size(self.path)
        return size

    def jpeg(self) -> bytes:
        """The photo as it is printed: upright, scaled, on white, without place, time, camera or any
        other word in it.

        Raises:
            FaultyList: it cannot be read.
        """
        jpeg: bytes = _reading().photo_jpeg(self.path)
        return jpeg


def _reading() -> ModuleType:
    from oilchart.sources.files import photo_reading

    return photo_reading
