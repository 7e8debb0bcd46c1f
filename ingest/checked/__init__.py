"""What checking makes of a file: its rows with their codes, held to the suite of their kind, and the receipt that accounts for them."""
