"""Calendar entries and the iCalendar files they are written in."""
