"""The demo shop: its folder, and what is put into its book."""
