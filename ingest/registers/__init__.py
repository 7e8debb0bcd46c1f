"""The registers of a home, and how a name as written finds its entry."""
