"""Trouser hems: breaks, cut lengths, inside legs."""
