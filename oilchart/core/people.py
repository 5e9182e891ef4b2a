"""Knows the shop and the owner as the papers name them."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.chart import Need


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """The shop as its papers name it.

    Args:
        address: its lines.
        invented: the papers say that all their data is invented.
    """

    name: str
    phone: str
    address: tuple[str, ...] = ()
    email: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """One customer.

    Args:
        can: what this owner can do at home beside the usual; such points are theirs, not the bench's.
    """

    number: str
    name: str
    phone: str
    email: str = ""
    can: tuple[Need, ...] = ()
