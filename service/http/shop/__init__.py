"""Over HTTP: the shop's own tables."""
