"""How papers are written: text columns, pages, receipts, codes."""
