"""The customer's body: what was read, what is known, what is estimated."""
