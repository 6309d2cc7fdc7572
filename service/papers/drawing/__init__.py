"""The drawing of a fit check."""
