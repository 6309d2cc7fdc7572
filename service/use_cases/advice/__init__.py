"""Use cases: size advice and designations."""
