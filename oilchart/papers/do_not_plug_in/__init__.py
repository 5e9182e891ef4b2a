"""The sheet that an unsafe machine gets instead of a card."""
