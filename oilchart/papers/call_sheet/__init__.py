"""The sheet of calls beside the telephone."""
