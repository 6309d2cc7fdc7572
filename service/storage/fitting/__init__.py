"""Rows of fit checks: the records of today, of releases before, and back."""
