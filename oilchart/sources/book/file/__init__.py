"""The file of the shop book: made, opened, brought up to today's schema."""
