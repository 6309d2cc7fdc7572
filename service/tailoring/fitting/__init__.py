"""The worn garment: what was seen, why, and whether to keep, alter or swap."""
