"""The photos of machines in the shop: which there are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.photo import Photo
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.sources.book.file.opening import Book


def add(
    book: Book, shop: Shop, machine: str, files: Iterable[str], on: date, *, as_received: bool
) -> tuple[MachineRecord, tuple[Photo, ...]]:
    """Keep that there are photos of a machine, in its stay of that day or without one; of one that
    is known there already nothing is kept.

    Args:
        files: their names in the shop's folder of photos.
        as_received: they show the machine as it came.

    Returns:
        Also those that are new.

    Raises:
        UnknownName; WrongValue: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day of a photo")
    record = named(book, machine)
    stay = record.job_on(on)
    job = None if stay is None else stay.id
    known = {photo.file for photo in record.photos if photo.job == job}
    new = []
    for file in dict.fromkeys(files):
        if file not in known:
            photo = Photo(id=0, on=on, file=file, job=job, as_received=as_received)
            new.append(replace(photo, id=book.photos.add(record.id, photo)))
    return replace(record, photos=(*record.photos, *new)), tuple(new)
