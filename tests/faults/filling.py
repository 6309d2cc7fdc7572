"""A disk that fills up while orders are placed, as a process of its own meets it."""

import resource
from contextlib import closing

from service.app import create_app
from service.settings import Settings
from tests.client import Client, Contract
from tests.faults.books import ORDER


def fill(url, key, till, most_bytes):
    """Place orders under a limit of what any file may grow to; what was answered, and by which statuses."""
    # Past the limit a write fails in the middle, as on a full disk (Python ignores the signal).
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
    app = create_app(Settings(database_url=url))
    with closing(app.extensions["context"].database):
        client = Client(Contract(app), key)
        made, statuses = {}, []
        for n in range(400):
            answer = client.post("/v1/orders", ORDER, key=f"{till}-{n}")
            statuses.append(answer.status)
            if answer.status == 201:
                made[f"{till}-{n}"] = answer.body["number"]
            if statuses[-10:] == [503] * 10:
                break
        listed = client.get("/v1/orders").status
    return {"made": made, "statuses": statuses, "listed": listed}
