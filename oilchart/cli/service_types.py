"""How the text of an option becomes part of what is told of a service: a point with why, an
electrical check."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from oilchart.cli.types import LINE, NAME, WORDS
from oilchart.core.records.job import ElectricalCheck
from oilchart.errors import one_line


class ExceptType(click.ParamType[Any]):
    """A point, with or without why: POINT or POINT=WHY."""

    name = "point"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, str]:
        """Read the point and why."""
        if isinstance(value, tuple):
            return value
        point, equals, why = value.partition("=")
        if not point.strip() or (equals and not why.strip()):
            self.fail(
                f'"{one_line(value)[:60]}": write it like 44 or 44="no lamp fitted"', param, ctx
            )
        return point.strip(), WORDS.convert(why, param, ctx)


class CheckType(click.ParamType[Any]):
    """An electrical check: NAME=pass, NAME=fail, with a reading behind a comma."""

    name = "name=result"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> ElectricalCheck:
        """Read who made it, whether it was passed, and what was measured; its day is not told."""
        if isinstance(value, ElectricalCheck):
            return value
        by, equals, result = value.rpartition("=")
        passed, _, reading = result.partition(",")
        if not equals or passed.strip() not in ("pass", "fail"):
            self.fail(
                f'"{one_line(value)[:60]}": write it like "R. Amsel=pass" or '
                '"R. Amsel=pass, 2.1 megohm"',
                param,
                ctx,
            )
        return ElectricalCheck(
            on=date.min,
            by=NAME.convert(by, param, ctx),
            passed=passed.strip() == "pass",
            reading=LINE.convert(reading, param, ctx),
        )


CHECK = CheckType()
EXCEPT = ExceptType()
