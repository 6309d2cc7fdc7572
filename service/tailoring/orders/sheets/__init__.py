"""A sheet of orders: what is asked, drawn up into lines, with hems, follow-ons and what is aimed at."""
