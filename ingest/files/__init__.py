"""Any file's bytes become grids of cells, in a process with limits."""
