"""The owner's care card."""
