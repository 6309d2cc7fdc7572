"""Over HTTP: orders as they are answered."""
