"""The commands that make papers: cards, checklists, records, letters, call sheets, calendars."""
