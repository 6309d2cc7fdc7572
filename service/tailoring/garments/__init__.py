"""Garments as they are made: charts, places, ease, pieces, and what can be altered."""
