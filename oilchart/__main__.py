"""The program, as `oilchart` and as `python -m oilchart`."""

from __future__ import annotations

from oilchart import ending


def run() -> None:
    """Run the command line in a process of its own, which can be stopped from its first moment."""
    ending.stop_at_signals()
    from oilchart.cli import main  # takes long enough to be stopped in

    try:
        main()
    finally:
        ending.be_over()


if __name__ == "__main__":
    run()
