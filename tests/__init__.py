"""Tests of the three stages, and the checks against outside references."""
