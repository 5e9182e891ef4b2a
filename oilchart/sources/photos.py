"""Knows how a photo of the shop's own becomes a drawing: turned upright, scaled to print size, and with nothing in it but the picture."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from oilchart.errors import FaultyList

FORMATS = ("JPEG", "PNG")
PRINT_PIXELS = 1600  # of the longer side: 168 mm, the width of a drawing on a checklist, at 240 to the inch
QUALITY = 85
MOST_PIXELS = 200_000_000
TURNED = range(5, 9)  # orientations of a picture that lies on its side
ORIENTATION = 0x0112  # its tag in Exif
WIDTH = 1000.0  # of every photo in drawing units


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
        with self._opened() as image:
            wide, high = image.size
            if image.getexif().get(ORIENTATION) in TURNED:
                wide, high = high, wide
            return WIDTH, round(WIDTH * high / wide, 1)

    def jpeg(self) -> bytes:
        """The photo as it is printed: upright, scaled, on white, without place, time, camera or any other word in it.

        Raises:
            FaultyList: it cannot be read.
        """
        with self._opened() as image:
            try:
                upright = ImageOps.exif_transpose(image).convert("RGBA")
            except (OSError, SyntaxError, ValueError) as error:
                raise FaultyList([f"{self.path}: the photo is damaged: {error}: take it again"]) from None
        upright.thumbnail((PRINT_PIXELS, PRINT_PIXELS))
        plain = Image.new("RGB", upright.size, "white")
        plain.paste(upright, mask=upright.getchannel("A"))
        out = io.BytesIO()
        plain.save(out, "JPEG", quality=QUALITY)
        return out.getvalue()

    def _opened(self) -> Image.Image:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # a limit of our own stands below
                image = Image.open(self.path, formats=FORMATS)
        except FileNotFoundError:
            raise FaultyList([f"{self.path}: there is no such photo: put it beside the drawing's file, or mend its name"]) from None
        except (UnidentifiedImageError, Image.DecompressionBombError):
            raise FaultyList([f"{self.path}: is no JPEG or PNG: save the photo as one"]) from None
        except OSError as error:
            raise FaultyList([f"{self.path}: cannot be read: {error.strerror or error}"]) from None
        if image.width * image.height > MOST_PIXELS:
            image.close()
            raise FaultyList([f"{self.path}: is {image.width} by {image.height} pixels: make it smaller"])
        return image
