"""Use cases: orders, their papers and charges."""
