"""Letters to owners."""
