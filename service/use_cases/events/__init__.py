"""Use cases: events and webhooks."""
