"""Stage 1: a file becomes checked rows."""
