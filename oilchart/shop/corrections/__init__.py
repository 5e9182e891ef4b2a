"""What was written down wrongly, mended: of a machine, a service, a stay, an owner."""
