"""The program, as `oilchart` and as `python -m oilchart`."""

from __future__ import annotations

# is built in, but known to no types; the larger module takes long enough to be stopped in
import _signal  # type: ignore[import-not-found]


def run() -> None:
    """Run the command line in a process of its own, which can be stopped from its first moment:
    without a word until it is ready to say one."""
    if _signal.getsignal(_signal.SIGINT) is _signal.default_int_handler:
        _signal.signal(_signal.SIGINT, _signal.SIG_DFL)
    from oilchart import ending

    ending.stop_at_signals()
    from oilchart.cli import main  # takes long enough to be stopped in

    try:
        main()
    finally:
        ending.be_over()


if __name__ == "__main__":
    run()
