"""The tag that hangs on a machine while it is in the shop."""
