"""Reading the photos of a stay for a paper; one that is missing is told, and left out."""

from __future__ import annotations

from collections.abc import Iterable

import click

from oilchart.cli.context import AppContext
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.photo import Photo
from oilchart.papers.photos import ShownPhoto
from oilchart.papers.wording import plain_day
from oilchart.sources.files.photos import PhotoFile


def photos_of_stay(record: MachineRecord) -> tuple[Photo, ...]:
    """The photos of a machine's stay, or of its last one."""
    job = record.open_job or next(reversed(record.jobs), None)
    stay = None if job is None else job.id
    return tuple(photo for photo in record.photos if photo.job == stay)


def shown_photos(app: AppContext, photos: Iterable[Photo]) -> tuple[ShownPhoto, ...]:
    """Photos as a paper shows them.

    Raises:
        FaultyList: one cannot be read.
    """
    shown = []
    for photo in photos:
        file = PhotoFile(app.shop.photo_place(photo.file))
        if not file.path.exists():
            click.echo(f"{file.path}: the photo is missing: it is left out", err=True)
            continue
        width, height = file.size
        what = "As received" if photo.as_received else "Photo"
        words = f"{what}, {plain_day(photo.on)}"
        shown.append(ShownPhoto(photo=file, width=width, height=height, words=words))
    return tuple(shown)
