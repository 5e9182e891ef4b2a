"""What HTML pages share."""
