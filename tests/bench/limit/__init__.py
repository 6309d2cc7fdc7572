"""The service against the limit of the machine: each row a ratio of two sides, in turns in one run."""
