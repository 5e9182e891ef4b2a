"""Lists and answers for the screen, a pipe or another program: tables, JSON, CSV."""
