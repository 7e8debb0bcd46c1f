"""The tables of a file of scores or levels become rows, as those of readings do."""
