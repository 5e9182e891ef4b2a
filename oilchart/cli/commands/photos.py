"""Photos of a machine in the shop."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import click

from oilchart.cli.commands.jobs import tell
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY
from oilchart.papers.wording import counted
from oilchart.shop.bench import photos
from oilchart.sources.files.photos import PhotoFile

NAME_LETTERS = 24  # of a photo's file: as many as tell any two of a shop apart


@click.command("photo")
@click.argument("machine")
@click.argument(
    "files",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
)
@click.option("--as-received", is_flag=True, help="They show the machine as it came.")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def photo_command(
    app: AppContext, machine: str, files: tuple[Path, ...], as_received: bool, on: date | None
) -> None:
    """Keep photos of a machine with its stay: turned upright, scaled to print size, and without
    place, time or any other word that the camera has put into them. They lie in the shop's folder
    photos/, are on the bench page, and on no paper for an owner but a record with --photos. The
    files given stay as they are.

    Example: oilchart photo M-014 IMG_2041.jpg IMG_2042.jpg --as-received
    """
    pictures = {}
    for file in files:
        data = PhotoFile(file).jpeg()
        pictures[f"{hashlib.sha256(data).hexdigest()[:NAME_LETTERS]}.jpg"] = data
    with app.recording() as (book, batch):
        record, new = photos.add(
            book, app.shop, machine, pictures, on or app.today, as_received=as_received
        )
        for name, data in pictures.items():
            if not (place := app.shop.photo_place(name)).exists():
                batch.add(place, data, told=False)
        model = app.shop.list_of(record).name
    again = len(pictures) - len(new)
    received = ", as received" if as_received else ""
    kept = f"{counted(again, 'photo')} kept already" if again else ""
    added = f"{counted(len(new), 'photo')}{received}" if new else ""
    tell(record, model, "; ".join(filter(None, (added, kept))))
