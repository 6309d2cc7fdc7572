"""Rows: customers and their measurements."""
