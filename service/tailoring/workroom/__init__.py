"""The workroom: its calendar, bookings and worklists."""
