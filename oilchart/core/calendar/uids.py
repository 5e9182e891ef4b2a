"""Lasting ids of calendar entries, made from a shop's random namespace; they name nobody.

Source: RFC 7986 section 5.3 (2016): no id tells of a person or a computer; RFC 9562 section 5.5
(2024): ids from names.
"""

from __future__ import annotations

import uuid
from datetime import date


def call_uid(namespace: str, call_id: int) -> str:
    """The lasting id of a call's entry, from the shop's random namespace."""
    return _uid(namespace, f"call:{call_id}")


def owners_machine(machine: str, handed_on: date | None) -> str:
    """The name of a machine in the ids of its entries: once it was handed on another one, since an
    earlier owner's entries are none of the present one's."""
    return machine if handed_on is None else f"{machine} {handed_on}"


def service_uid(namespace: str, machine: str, served: date | None) -> str:
    """The lasting id of the entry of a machine's service after the one of a day."""
    return _uid(namespace, f"service:{machine}:{served or 'first'}")


def care_uid(namespace: str, machine: str, what: str) -> str:
    """The lasting id of an entry of a machine's care."""
    return _uid(namespace, f"care:{machine}:{what}")


def shop_uid(namespace: str) -> str:
    """The lasting random name of a shop, under which browsers keep what is noted on its pages."""
    return _uid(namespace, "shop")


def _uid(namespace: str, name: str) -> str:
    return str(uuid.uuid5(uuid.UUID(namespace), name))
