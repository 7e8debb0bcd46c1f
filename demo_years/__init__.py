"""The years of a fictional reserve, and the script that makes them."""
