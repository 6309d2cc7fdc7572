"""One advice of a service that has just been started."""

from __future__ import annotations

import os
import sys

from service.starting import made_to_last

if __name__ == "__main__":
    with made_to_last():  # as the server's worker does
        from service.app import create_app
        from service.settings import Settings
        from tests.bench.limit.questions import ADVICE

        client = create_app(Settings.read(os.environ)).test_client()
    answer = client.post("/v1/size-advice", json=ADVICE, headers={"Authorization": f"Bearer {sys.argv[1]}"})
    if answer.status_code != 200:
        raise SystemExit(answer.text)
