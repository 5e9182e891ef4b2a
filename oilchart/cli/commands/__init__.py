"""The commands: one module a noun, each loaded when one of its commands is run."""
