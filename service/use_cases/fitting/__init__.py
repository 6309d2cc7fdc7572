"""Use cases: fit checks, fit points and hems."""
