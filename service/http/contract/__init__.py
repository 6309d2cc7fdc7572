"""Over HTTP: what the contract says."""
