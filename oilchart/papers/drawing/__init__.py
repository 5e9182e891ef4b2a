"""Drawings with numbered places, and the look they have in every ink."""
