"""What is said of a serial number that another machine of the book has."""

from __future__ import annotations

from collections.abc import Iterable

import click

from oilchart.core.records.machine_record import machine_number
from oilchart.sources.book.machines import SerialNumber


def tell_alike(serial: str, alike: Iterable[SerialNumber]) -> None:
    """Say which other machines have a serial number, and how to go on with one that is gone."""
    for each in alike:
        number = machine_number(each.machine)
        click.echo(
            f"Serial number {serial} is that of {number}, gone ({each.gone}): its story: oilchart "
            f"machine show {number}; if it is that machine: oilchart machine back {number}, or "
            f"oilchart machine handed-on {number} OWNER"
            if each.gone
            else f"Serial number {serial} is that of {number}, too."
        )
