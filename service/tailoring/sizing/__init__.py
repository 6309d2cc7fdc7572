"""Choosing the ready-made size: what a fit costs, which plans are best, what to measure next."""
