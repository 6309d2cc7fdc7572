"""Use cases: the workroom's calendar and worklists."""
