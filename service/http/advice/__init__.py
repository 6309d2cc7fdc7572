"""Over HTTP: size advice and designations."""
