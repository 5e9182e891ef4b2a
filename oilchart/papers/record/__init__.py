"""The record of a service, handed over with the machine."""
