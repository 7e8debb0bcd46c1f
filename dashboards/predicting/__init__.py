"""Predict first: one question, the room's phones, and the counts that are kept."""
