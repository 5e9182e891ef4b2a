"""A photo of the shop's own as a drawing: upright, scaled, with nothing in it but the picture; on
paper and on the screen."""

from __future__ import annotations

import base64
import io
import re
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pypdf
import pytest
from PIL import Image, ImageFile

from oilchart.errors import FaultyList
from oilchart.shop.folder import Shop
from oilchart.sources.files.photos import PhotoFile
from tests.conftest import Run

ORIENTATION, MAKER, GPS = 0x0112, 0x010F, 0x8825
LYING = 6  # the camera was turned a quarter to the right
COMMENT = b"taken at the bench"


def a_photo(path: Path, *, wide: int = 3200, high: int = 2000, orientation: int = LYING) -> Path:
    """A photo whose upper left quarter is red as the sensor saw it, with orientation, camera and
    place in it."""
    image = Image.new("RGB", (wide, high), "white")
    image.paste("red", (0, 0, wide // 2, high // 2))
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKER] = "Invented Camera Works"
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    image.save(path, "JPEG", exif=exif, comment=COMMENT, quality=90)
    return path


def clean(path: Path) -> Image.Image:
    return Image.open(io.BytesIO(PhotoFile(path).jpeg()))


def test_the_test_photo_has_orientation_place_camera_and_comment(tmp_path: Path) -> None:
    raw = a_photo(tmp_path / "raw.jpg").read_bytes()
    exif = Image.open(io.BytesIO(raw)).getexif()
    assert (exif[ORIENTATION], exif[MAKER], exif.get_ifd(GPS)[1]) == (
        LYING,
        "Invented Camera Works",
        "N",
    )
    assert COMMENT in raw


def test_a_photo_is_turned_upright(tmp_path: Path) -> None:
    path = a_photo(tmp_path / "lying.jpg")
    image = clean(path)
    assert PhotoFile(path).size == (1000, 1600)
    assert image.width < image.height
    corners = [
        image.getpixel(spot)
        for spot in (
            (5, 5),
            (image.width - 5, 5),
            (5, image.height - 5),
            (image.width - 5, image.height - 5),
        )
    ]
    red = [isinstance(pixel, tuple) and pixel[0] > 200 and pixel[1] < 60 for pixel in corners]
    # a quarter turn brings the upper left corner to the upper right
    assert red == [False, True, False, False]


def test_nothing_but_the_picture_is_left_in_a_photo(tmp_path: Path) -> None:
    data = PhotoFile(a_photo(tmp_path / "raw.jpg")).jpeg()
    image = Image.open(io.BytesIO(data))
    assert dict(image.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp", "photoshop"} & set(image.info)
    for trace in (b"Exif", b"Invented Camera", COMMENT, b"GPS", b"http"):
        assert trace not in data


def test_a_photo_is_scaled_to_print_size_and_a_small_one_left_alone(tmp_path: Path) -> None:
    assert max(clean(a_photo(tmp_path / "large.jpg")).size) == 1600
    assert clean(a_photo(tmp_path / "small.jpg", wide=300, high=200, orientation=1)).size == (
        300,
        200,
    )


def test_a_picture_with_clear_parts_stands_on_white(tmp_path: Path) -> None:
    Image.new("RGBA", (40, 20), (0, 0, 0, 0)).save(tmp_path / "clear.png")
    assert clean(tmp_path / "clear.png").getpixel((5, 5)) == (255, 255, 255)


def test_the_same_photo_gives_the_same_bytes(tmp_path: Path) -> None:
    path = a_photo(tmp_path / "raw.jpg")
    assert PhotoFile(path).jpeg() == PhotoFile(path).jpeg()


@pytest.mark.parametrize("data", [b"", b"GIF89a-no-photo", b"\xff\xd8\xff\xe0 broken"])
def test_what_is_no_photo_is_told_in_one_line(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "odd.jpg").write_bytes(data)
    with pytest.raises(FaultyList) as told:
        PhotoFile(tmp_path / "odd.jpg").jpeg()
    assert len(told.value.faults) == 1
    assert str(tmp_path / "odd.jpg") in told.value.faults[0]


@pytest.mark.parametrize(
    ("wide", "high", "remedy"),
    [
        (1, 100_000, "make it smaller; 120 million pixels, 40000 a side are the most"),
        (1, 1_000_000, "make it smaller; 120 million pixels, 40000 a side are the most"),
        (100_000_000, 1, "make it smaller; 120 million pixels, 40000 a side are the most"),
        (12_000, 12_000, "make it smaller; 120 million pixels, 40000 a side are the most"),
        (100, 2_001, "cut it; one side may be 20 times the other at most"),
        (2_001, 100, "cut it; one side may be 20 times the other at most"),
    ],
)
def test_a_photo_too_large_or_too_long_is_refused_by_its_header(
    tmp_path: Path, wide: int, high: int, remedy: str
) -> None:
    """There is nothing behind it, so that nothing of the picture is read."""
    path = tmp_path / "strip.png"
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    chunks = [
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in ((b"IHDR", head), (b"IDAT", b""))
    ]
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(chunks))
    for read in (lambda: PhotoFile(path).size, PhotoFile(path).jpeg):
        with pytest.raises(FaultyList) as told:
            read()
        assert told.value.faults == (f"{path}: is {wide} by {high} pixels: {remedy}",)


def test_a_photo_outside_of_the_points_folder_is_a_fault(
    photo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    views = photo_shop.folder / "points" / "views"
    outside = a_photo(tmp_path / "x.jpg", wide=64, high=40)
    drawing = next(file for file in views.glob("*.toml") if "bench.jpg" in file.read_text())
    text = drawing.read_text()
    (views / "link.jpg").symlink_to(outside)
    for name in ("../../../x.jpg", str(outside), "link.jpg"):
        drawing.write_text(text.replace("bench.jpg", name))
        refused = run("models", "check", drawing, shop=photo_shop.folder)
        assert refused.exit_code == 1
        assert refused.stderr.startswith(
            f'oilchart: {drawing}: photo: lies outside of the points folder: "{name[:50]}'
        )
        assert refused.stderr.endswith("; put it beside the drawing's file\n")


def png_with(path: Path, kind: bytes, body: bytes) -> Path:
    """A small PNG with one more piece of data in it."""
    Image.new("RGB", (30, 20), "red").save(path)
    data = path.read_bytes()
    head, rest = data[:33], data[33:]  # the signature with the header, and what follows them
    path.write_bytes(head + a_piece(kind, body) + rest)
    return path


def a_piece(kind: bytes, body: bytes) -> bytes:
    """A piece of data as PNG wants it."""
    return len(body).to_bytes(4) + kind + body + zlib.crc32(kind + body).to_bytes(4)


def a_black_png(path: Path, wide: int, high: int) -> Path:
    """A picture of black and white, written row by row: the larger ones would not fit into a small
    computer's memory."""
    packer = zlib.compressobj(1)
    row = bytes(1 + -(-wide // 8))  # its filter, then eight pixels a byte
    rows = b"".join([*(packer.compress(row) for _ in range(high)), packer.flush()])
    header = wide.to_bytes(4) + high.to_bytes(4) + bytes([1, 0, 0, 0, 0])  # a bit a pixel, in greys
    pieces = (a_piece(b"IHDR", header), a_piece(b"IDAT", rows), a_piece(b"IEND", b""))
    path.write_bytes(b"".join([b"\x89PNG\r\n\x1a\n", *pieces]))
    return path


def test_the_test_picture_that_is_written_row_by_row_is_a_whole_picture(tmp_path: Path) -> None:
    picture = Image.open(a_black_png(tmp_path / "black.png", 30, 20))
    assert (picture.mode, picture.size, picture.getcolors()) == ("1", (30, 20), [(600, 0)])


@pytest.mark.parametrize(("kind", "head"), [(b"zTXt", b"Comment\0\0"), (b"iCCP", b"profile\0\0")])
def test_words_or_a_profile_that_swell_when_they_are_unpacked_are_refused_in_a_line(
    tmp_path: Path, kind: bytes, head: bytes
) -> None:
    photo = PhotoFile(
        png_with(tmp_path / "odd.png", kind, head + zlib.compress(b"a" * 20_000_000, 9))
    )
    for read in (photo.jpeg, lambda: photo.size):
        with pytest.raises(FaultyList, match=r"odd\.png: cannot be read: .*: save the photo anew$"):
            read()


@pytest.mark.parametrize(
    ("wide", "high", "said"),
    [(13_000, 10_000, "13000 by 10000 pixels"), (30_000, 30_000, "more than 120 million pixels")],
)
def test_a_picture_of_more_pixels_than_memory_is_good_for_is_refused_unread(
    tmp_path: Path, wide: int, high: int, said: str
) -> None:
    photo = PhotoFile(a_black_png(tmp_path / "vast.png", wide, high))
    with pytest.raises(FaultyList, match=f"vast\\.png: is {said}: make it smaller"):
        photo.jpeg()


@pytest.mark.parametrize(
    ("mode", "wide", "high"),
    [("1", 8000, 5000), ("P", 900, 600), ("I;16", 900, 600), ("LA", 900, 600)],
)
def test_a_png_of_any_mode_is_scaled_and_its_size_is_told_without_reading_the_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str, wide: int, high: int
) -> None:
    Image.new(mode, (wide, high)).save(tmp_path / "any.png")
    assert clean(tmp_path / "any.png").size == (min(wide, 1600), min(high, 1000))
    monkeypatch.delattr(ImageFile.ImageFile, "load")
    assert PhotoFile(tmp_path / "any.png").size == (1000, round(1000 * high / wide, 1))


@pytest.fixture
def photo_shop(fresh_shop: Shop) -> Shop:
    """A shop whose own model lies on a photo."""
    points = fresh_shop.folder / "points"
    (points / "views").mkdir()
    (points / "models").mkdir()
    a_photo(points / "views" / "bench.jpg")
    (points / "views" / "bench.toml").write_text(
        'name = "On our bench"\nalt = "Our photo."\nphoto = "bench.jpg"\n'
    )
    (points / "models" / "wren-1.toml").write_text(
        'name = "Wren 1"\nmaker = "Wren"\nabout = "A small one."\nmechanisms = '
        '["hand-crank"]\nviews = ["bench"]\n'
        'needle_system = "130/705 H"\nneedle_flat = "to the back"\nsource = "practice"\n'
        '[change.crank-spindle-oil]\nat = ["bench", 500, 1200]\n[change.crank-knob-oil]\nat = '
        '["bench", 300, 300]\n'
    )
    return fresh_shop


def test_a_photo_is_on_the_card_the_checklist_and_the_page(
    photo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    lines = ("--model", "wren-1", "-o")
    for command, name in (
        ("card", "card.pdf"),
        ("checklist", "list.pdf"),
        ("checklist", "list.html"),
        ("checklist", "again.pdf"),
    ):
        result = run(command, *lines, name, shop=photo_shop.folder)
        assert result.exit_code == 0, result.stderr
    for name in ("card.pdf", "list.pdf"):
        images = [image for page in pypdf.PdfReader(tmp_path / name).pages for image in page.images]
        assert max(image.image.size[1] for image in images if image.image is not None) == 1600
    page = (tmp_path / "list.html").read_text(encoding="utf-8")
    embedded = re.findall(r'<image href="data:image/jpeg;base64,([^"]+)"', page)
    assert [Image.open(io.BytesIO(base64.b64decode(data))).size for data in embedded] == [
        (1000, 1600)
    ]
    assert (tmp_path / "list.pdf").read_bytes() == (tmp_path / "again.pdf").read_bytes()
    for name in ("card.pdf", "list.pdf", "list.html"):
        assert b"Invented Camera" not in (tmp_path / name).read_bytes()


def test_a_photo_that_is_missing_or_broken_is_a_fault_of_its_drawing(
    photo_shop: Shop, run: Run
) -> None:
    photo = photo_shop.folder / "points" / "views" / "bench.jpg"
    photo.write_bytes(b"no photo")
    for words in (("models", "check"), ("card", "--model", "wren-1", "-o", "card.pdf")):
        refused = run(*words, shop=photo_shop.folder)
        assert refused.exit_code == 1
        assert f"{photo}: is no JPEG or PNG: save the photo as one" in refused.stderr
    photo.unlink()
    refused = run("models", "check", shop=photo_shop.folder)
    assert f"{photo}: there is no such photo" in refused.stderr
    assert "Traceback" not in refused.stderr


def test_a_photo_that_cannot_be_read_is_one_fault_among_others_whatever_way_python_runs(
    photo_shop: Shop,
) -> None:
    views = photo_shop.folder / "points" / "views"
    (views / "bench.jpg").write_bytes(b"no photo")
    drawing = views / "bench.toml"
    drawing.write_text(drawing.read_text(encoding="utf-8") + "nmae = 3\n", encoding="utf-8")
    for options in ([], ["-O"]):
        checked = subprocess.run(
            [
                *(sys.executable, *options, "-m", "oilchart"),
                *("--shop", photo_shop.folder, "models", "check"),
            ],
            capture_output=True,
            text=True,
        )
        assert checked.stderr.splitlines() == [
            f"oilchart: {views / 'bench.jpg'}: is no JPEG or PNG: save the photo as one",
            f"{drawing}: nmae: is not a known key; did you mean name?",
        ]
