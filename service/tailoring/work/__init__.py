"""The work on a garment: its order, what follows from it, finishing, cautions, prices."""
