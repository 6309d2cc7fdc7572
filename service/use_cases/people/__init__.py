"""Use cases: customers and their measurements."""
