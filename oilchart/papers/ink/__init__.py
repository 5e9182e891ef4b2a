"""Finished papers as ink: each writer takes a paper's value and returns text or bytes; none opens an output file."""
