"""The shop's calendar files: written, and read back."""
