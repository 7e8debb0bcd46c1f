"""A daily weather record becomes rows."""
