"""Where the tables of a sheet stand, how they are laid out, and what each of their columns is."""
