"""Use cases: the shop's own tables."""
