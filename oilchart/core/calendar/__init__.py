"""The rules of calendar files: lasting ids, recurrence and the ledger of what was written."""
