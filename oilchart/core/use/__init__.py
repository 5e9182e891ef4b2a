"""How much a machine is used: what its owner said, and the use that follows from it up to any
day."""
