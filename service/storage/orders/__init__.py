"""Rows: orders, their papers and charges."""
