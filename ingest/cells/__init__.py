"""What one cell says: numbers and bounds, dates and times, remarks, persons."""
