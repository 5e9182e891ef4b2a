"""The bench checklist, on paper and on the screen over the bench."""
