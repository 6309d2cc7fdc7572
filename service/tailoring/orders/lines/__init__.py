"""The lines of an order: what is asked and agreed, their prices, their history, what benches did at them."""
