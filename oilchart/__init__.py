"""Oiling schedules, care cards and bench checklists for the machines of an independent
sewing-machine shop."""

__version__ = "0.1.0"
