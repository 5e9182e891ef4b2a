"""The owner's words, read into reports of use and kept as JSON."""
