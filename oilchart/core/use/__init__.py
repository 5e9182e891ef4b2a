"""How much a machine is used: what its owner said, and the use that follows up to any day."""
