"""The database, and the only room that knows SQL: tables, transactions, rows to values and back."""
