"""A checked file is accepted: the original, the ledger, and what it replaces or changes."""
