"""Other files that come in: settings, findings, calendars, photos and the demo's data."""
