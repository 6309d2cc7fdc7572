"""Over HTTP: customers and their measurements."""
