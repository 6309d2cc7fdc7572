"""Alteration orders: lines, states, events, outcomes."""
