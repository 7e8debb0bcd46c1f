"""What is wrong or in doubt, what is asked about it, and how answers are written, known and kept in recipes."""
