"""Data packages: what a role may take away, described for people and for programs."""
