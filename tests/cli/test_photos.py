"""Photos of a stay: upright, without a word of the camera, and on no owner's paper unasked."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    check_in,
    record_service,
    the_machine,
)
from tests.conftest import Run

GPS, MAKE, TAKEN, ORIENTATION = 0x8825, 0x010F, 0x9003, 0x0112
# lies on its side as many telephones keep it: the top is at the right
ON_ITS_SIDE = 6


@pytest.fixture
def hazel(fresh_shop: Shop) -> Shop:
    """A shop with one machine in it."""
    add_owner(fresh_shop, name="Hazel Fenn", phone="01632 960113", email="")
    add_machine(fresh_shop, owner="Hazel", model="heron-3", serial="H3-1", note="")
    record_service(fresh_shop, "M-001", TODAY)
    check_in(fresh_shop, "M-001", "makes loops", TODAY)
    return fresh_shop


def photo(path: Path, colour: str = "red") -> Path:
    """A photo of 40 by 20 pixels, lying on its side, left half coloured, full of words."""
    image = Image.new("RGB", (40, 20), "white")
    image.paste(colour, (0, 0, 20, 20))
    exif = image.getexif()
    exif[ORIENTATION], exif[MAKE] = ON_ITS_SIDE, "Oakshott Cameras"
    exif.get_ifd(GPS)[2] = (51.0, 30.0, 0.0)
    exif.get_ifd(0x8769)[TAKEN] = "2026:11:25 10:00:00"
    image.save(path, "JPEG", exif=exif, comment=b"Hazel's kitchen")
    return path


def test_a_photo_is_kept_upright_and_without_place_time_or_words(
    hazel: Shop, run: Run, tmp_path: Path
) -> None:
    given = photo(tmp_path / "IMG_1.jpg")
    before = given.read_bytes()
    assert b"Oakshott Cameras" in before and b"2026:11:25" in before
    told = run("photo", "M-001", given, "--as-received", shop=hazel.folder)
    assert told.stdout == "M-001 Heron 3, Hazel Fenn: 1 photo, as received\n"
    [kept] = the_machine(hazel, "M-001").photos
    assert (kept.on, kept.job, kept.as_received) == (TODAY, 1, True)
    place = hazel.photo_place(kept.file)
    assert place.stat().st_mode & 0o077 == 0
    data = place.read_bytes()
    for word in (b"Oakshott", b"2026", b"kitchen", b"Exif", b"GPS"):
        assert word not in data
    with Image.open(place) as image:
        assert image.size == (20, 40)
        assert dict(image.getexif()) == {}
        top, bottom = image.getpixel((10, 5)), image.getpixel((10, 35))
    assert isinstance(top, tuple) and isinstance(bottom, tuple)
    assert top[1] < 60 < 200 < bottom[1]  # red above, white below
    assert given.read_bytes() == before


def test_a_photo_is_kept_once_in_a_stay_and_told_in_its_story(
    hazel: Shop, run: Run, tmp_path: Path
) -> None:
    one, two = photo(tmp_path / "one.jpg"), photo(tmp_path / "two.jpg", "blue")
    run("photo", "M-001", one, shop=hazel.folder)
    again = run("photo", "M-001", one, two, shop=hazel.folder).stdout
    assert "1 photo; 1 photo kept already" in again
    assert len(list((hazel.folder / "photos").iterdir())) == 2
    [stay] = json.loads(run("in-shop", "--json", shop=hazel.folder).stdout)
    assert stay["photos"] == 2
    assert "2 photos" in run("machine", "show", "M-001", shop=hazel.folder).stdout


def test_photos_are_on_the_bench_page_and_on_an_owners_record_only_where_asked_for(
    hazel: Shop, run: Run, tmp_path: Path
) -> None:
    run("photo", "M-001", photo(tmp_path / "a.jpg"), "--as-received", shop=hazel.folder)
    page = run("checklist", "M-001", "-o", "bench.html", shop=hazel.folder)
    assert page.exit_code == 0
    html = (tmp_path / "bench.html").read_text(encoding="utf-8")
    assert 'alt="As received, 25 November 2026"' in html
    assert "Photos:</b> 1 photo, 1 as received" in html
    for words, shown in ((("record",), 0), (("record", "--photos"), 1), (("card",), 0)):
        data = run(words[0], "M-001", *words[1:], "-o", "-", shop=hazel.folder).stdout_bytes
        pages = pypdf.PdfReader(BytesIO(data)).pages
        told = " ".join(" ".join(each.extract_text() for each in pages).split())
        assert ("As received, 25 November 2026" in told) is bool(shown)
        photos = [image for each in pages for image in each.images if image.image is not None]
        assert len([each for each in photos if each.image and each.image.size == (20, 40)]) == shown


@pytest.mark.parametrize(("name", "code"), [("gone.jpg", 2), ("words.jpg", 1)])
def test_what_is_no_photo_is_refused_and_nothing_is_kept(
    name: str, code: int, hazel: Shop, run: Run, tmp_path: Path
) -> None:
    good = photo(tmp_path / "good.jpg")
    (tmp_path / "words.jpg").write_text("no picture")
    refused = run("photo", "M-001", good, tmp_path / name, shop=hazel.folder)
    assert refused.exit_code == code and name in refused.stderr
    assert the_machine(hazel, "M-001").photos == ()
    assert not (hazel.folder / "photos").exists()


def test_a_photo_that_is_lost_is_told_and_left_out(hazel: Shop, run: Run, tmp_path: Path) -> None:
    run("photo", "M-001", photo(tmp_path / "a.jpg"), shop=hazel.folder)
    [kept] = the_machine(hazel, "M-001").photos
    hazel.photo_place(kept.file).unlink()
    page = run("checklist", "M-001", "-o", "bench.html", shop=hazel.folder)
    assert page.exit_code == 0
    assert f"{kept.file}: the photo is missing: it is left out" in page.stderr
    # given once more it is there again
    assert (
        "1 photo kept already"
        in run("photo", "M-001", tmp_path / "a.jpg", shop=hazel.folder).stdout
    )
    assert hazel.photo_place(kept.file).exists()
