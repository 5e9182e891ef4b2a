"""The board: one page of the shop's state."""
