"""Stage 2: checked rows become tables."""
