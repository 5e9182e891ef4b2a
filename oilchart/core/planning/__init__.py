"""What follows for whole machines: schedules, services, calls and letters."""
