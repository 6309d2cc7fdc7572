"""Requests on the wire, before they are requests and after they are answered: who is waited for, and by whom."""
