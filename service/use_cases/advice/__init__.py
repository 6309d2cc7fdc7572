"""Use cases: size advice."""
