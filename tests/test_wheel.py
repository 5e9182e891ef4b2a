"""The wheel: built, installed into an empty folder and run from another, it brings its points,
templates and demo along."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WHERE_IT_LIES = """
import json, oilchart
from oilchart.sources.packaged import packaged
folders = [str(packaged(name)) for name in ("points", "templates", "demo_data")]
print(json.dumps([oilchart.__file__, *folders]))
"""


def python(*words: object, folder: Path, **environment: str) -> str:
    """Run Python in a folder; what it prints."""
    done = subprocess.run(
        [sys.executable, *map(str, words)],
        cwd=folder,
        env=os.environ | {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_NO_INDEX": "1"} | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_installed_wheel_makes_the_demo_from_anywhere(tmp_path: Path) -> None:
    wheels, target, elsewhere = (tmp_path / name for name in ("wheels", "target", "elsewhere"))
    elsewhere.mkdir()
    python(
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        wheels,
        ROOT,
        folder=tmp_path,
    )
    [wheel] = wheels.iterdir()
    # what is not run need not be compiled
    install = ("-m", "pip", "install", "-q", "--no-deps", "--no-compile", "--target", target)
    python(*install, wheel, folder=tmp_path)
    package, *folders = json.loads(
        python("-c", WHERE_IT_LIES, folder=elsewhere, PYTHONPATH=str(target))
    )
    assert Path(package) == target / "oilchart" / "__init__.py"
    assert [Path(folder) for folder in folders] == [
        target / "oilchart" / name for name in ("points", "templates", "demo_data")
    ]
    shown = python("-m", "oilchart", "demo", folder=elsewhere, PYTHONPATH=str(target))
    assert "14 owners, 18 machines: 3 overdue, " in shown
    papers = [path.name for path in (elsewhere / "oilchart-demo" / "out").iterdir()]
    assert {
        "M-001-card.pdf",
        "heron-3-checklist.pdf",
        "heron-3-checklist.html",
        "calls.ics",
        "M-018-schedule.json",
    } <= set(papers)
    assert len(papers) == 44
