"""What a tailor knows. Pure: no clock, no chance, no network, no database, no web framework."""
