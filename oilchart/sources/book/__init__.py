"""The shop book, an SQLite file: its tables, and the records read from them and written to them."""
