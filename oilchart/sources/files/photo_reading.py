"""How a photo is read: turned upright, scaled to print size, and with nothing in it but the
picture."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from oilchart import bounds
from oilchart.bounds import in_proportion
from oilchart.errors import FaultyList

FORMATS = ("JPEG", "PNG")
# of the longer side: 168 mm, the width of a drawing on a checklist, at 240 to the inch
PRINT_PIXELS = 1600
QUALITY = 85
MOST_MILLIONS = bounds.PHOTO_PIXELS // 1_000_000
TURNED = range(5, 9)  # orientations of a picture that lies on its side
ORIENTATION = 0x0112  # its tag in Exif
# what modes without tones are turned into before they are scaled
TONES = {"1": "L", "P": "RGBA", "PA": "RGBA"}
WIDTH = 1000.0  # of every photo in drawing units


def photo_size(path: Path) -> tuple[float, float]:
    """Width and height of a photo in drawing units, turned upright.

    Raises:
        FaultyList: it is no photo that can be read.
    """
    with _opened(path) as image:
        wide, high = image.size
        if _orientation(image) in TURNED:
            wide, high = high, wide
        return WIDTH, round(WIDTH * high / wide, 1)


def photo_jpeg(path: Path) -> bytes:
    """A photo as it is printed: upright, scaled, on white, without place, time, camera or any other
    word in it.

    Raises:
        FaultyList: it cannot be read.
    """
    with _opened(path) as image:
        turned = _orientation(image) is not None
        try:
            scaled = image.convert(TONES[image.mode]) if image.mode in TONES else image
            # first of all: a large one then never stands in memory several times
            scaled.thumbnail((PRINT_PIXELS, PRINT_PIXELS))
            upright = (ImageOps.exif_transpose(scaled) if turned else scaled).convert("RGBA")
        except (OSError, SyntaxError, ValueError) as error:
            raise FaultyList([f"{path}: the photo is damaged: {error}: take it again"]) from None
    plain = Image.new("RGB", upright.size, "white")
    plain.paste(upright, mask=upright.getchannel("A"))
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _opened(path: Path) -> Image.Image:
    try:
        with warnings.catch_warnings():
            # a limit of our own stands below
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(path, formats=FORMATS)
    except FileNotFoundError:
        raise FaultyList(
            [f"{path}: there is no such photo: put it beside the drawing's file, or mend its name"]
        ) from None
    except UnidentifiedImageError:
        raise FaultyList([f"{path}: is no JPEG or PNG: save the photo as one"]) from None
    except Image.DecompressionBombError:
        raise FaultyList(
            [f"{path}: is more than {MOST_MILLIONS} million pixels: make it smaller"]
        ) from None
    # words or a profile in it that are larger than any picture needs
    except ValueError as error:
        raise FaultyList([f"{path}: cannot be read: {error}: save the photo anew"]) from None
    except OSError as error:
        raise FaultyList([f"{path}: cannot be read: {error.strerror or error}"]) from None
    remedy = _too_much(*image.size)
    if remedy:
        image.close()
        raise FaultyList([f"{path}: is {image.width} by {image.height} pixels: {remedy}"])
    return image


def _too_much(width: int, height: int) -> str:
    """What to do where a picture is too large, or so long that nothing can be made out on it; its
    header tells, before anything of it is read."""
    if max(width, height) > bounds.PHOTO_SIDE or width * height > bounds.PHOTO_PIXELS:
        most = f"{MOST_MILLIONS} million pixels, {bounds.PHOTO_SIDE} a side"
        return f"make it smaller; {most} are the most"
    if not in_proportion(width, height):
        return f"cut it; one side may be {bounds.PROPORTION} times the other at most"
    return ""


def _orientation(image: Image.Image) -> int | None:
    """How a picture lies by its Exif; what a PNG says of it after the picture is not asked: all of
    it would have to be read."""
    known = image.format == "JPEG" or "exif" in image.info
    return image.getexif().get(ORIENTATION) if known else None
