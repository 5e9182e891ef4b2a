"""The command line: one module a noun; the only clock, the only catch, the only place that writes
output files."""

from oilchart.cli.program import main

__all__ = ["main"]
