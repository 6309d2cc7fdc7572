"""Every operation that a key is needed for, and an address of each."""

import re

from service.app import create_app
from service.http.api import operations
from service.settings import Settings

# Known without a database: the application is put together, and nothing is opened.
ROUTES = [line.split() for line in operations(create_app(Settings()))]
CLOSED = [(method, rule, scope) for method, rule, scope in ROUTES if scope != "-"]
NOBODY = "00000000-0000-4000-8000-000000000000"
PARTS = {"keptcode": "AAAA-AAAA", "uuid": NOBODY, "reference": "C-1", "chartcode": "reference", "day": "2026-03-03"}


def path_of(rule):
    return re.sub(r"<(\w+):\w+>", lambda part: PARTS[part[1]], rule)
