"""Runs the command line as `python -m oilchart`."""

from oilchart.cli import main

main()
