"""Tickets: what they say is decided once, then rendered. Pure: no web framework, no database, no clock."""
