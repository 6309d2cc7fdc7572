"""Over HTTP: events and webhooks."""
