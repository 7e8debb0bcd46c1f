"""Stage 3: tables become pictures."""
