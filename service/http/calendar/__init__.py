"""Over HTTP: the workroom's calendar and worklists."""
