"""The shop as its papers name it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopDetails:
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
