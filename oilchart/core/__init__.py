"""The trade's arithmetic: use, intervals, due dates, rhythms, services and calls; no disk, no
clock, no command line."""
