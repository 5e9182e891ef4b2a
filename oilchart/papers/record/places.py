"""The places of a list in the words of a record: for the owner, and for the bench."""

from __future__ import annotations

from oilchart.core.point_lists.point_list import PointList


def owners_place(point_list: PointList, point_id: str) -> str:
    """What an owner calls a place; the technician's name for it where the list has no other, the
    words of its id where the list has changed since."""
    point = point_list.point(point_id)
    if point is None:
        return _id_words(point_id)
    return point.home or point.where


def place_for_bench(point_list: PointList, point_id: str) -> str:
    """The technician's name of a place with its number in the list; the words of its id where the
    list has changed since."""
    point = point_list.point(point_id)
    if point is None:
        return _id_words(point_id)
    return f"{point.number} {point.where}" if point.number else point.where


def place_in_list(point_list: PointList, point_id: str) -> tuple[bool, int, str]:
    """By which places are sorted: by their numbers, those that left the list last."""
    point = point_list.point(point_id)
    return (point is None, 0 if point is None else point.number, point_id)


def _id_words(point_id: str) -> str:
    return point_id.replace("-", " ").capitalize()
