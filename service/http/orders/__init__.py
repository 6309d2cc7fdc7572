"""Over HTTP: orders, their papers and charges."""
