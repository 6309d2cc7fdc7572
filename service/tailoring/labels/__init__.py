"""Size labels and the systems that they are designated in."""
