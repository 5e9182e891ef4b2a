"""Where the packaged folders lie: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

from oilchart.errors import BookFault

_PACKAGE = Path(__file__).resolve().parents[1]


def packaged(name: str) -> Path:
    """Find "points", "templates" or "demo_data".

    A checkout or an editable install has them beside the package, a wheel inside it; beside comes
    first, since an editable install may hold a stale copy inside.
    """
    beside = _PACKAGE.parent
    homes = [beside / name] if (beside / "pyproject.toml").is_file() else []
    for folder in [*homes, _PACKAGE / name]:
        if folder.is_dir():
            return folder
    raise BookFault(
        f"{_PACKAGE / name}: the program's own folder is missing; install oilchart anew"
    )
