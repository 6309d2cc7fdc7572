"""Events going out: the only outgoing network."""
