"""Over HTTP: fit checks, fit points and hems."""
