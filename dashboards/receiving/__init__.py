"""Receiving files on the dashboard: dropped, understood, answered, accepted or let go."""
