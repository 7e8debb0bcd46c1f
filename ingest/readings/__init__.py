"""The tables of a file of readings become rows: decided as a whole, placed, measured, attributed, checked."""
