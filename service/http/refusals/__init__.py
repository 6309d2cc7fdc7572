"""Over HTTP: every refusal in words."""
