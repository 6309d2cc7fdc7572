"""Over HTTP: who calls, from where, how often."""
