"""A bare Flask that parses what it is sent and returns the same bytes, behind the same server; or answers 304.

`BARE_ANSWERS` names a file of JSON: by method and first two parts of a path, what is answered.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

from flask import Flask, Response, request


def bare() -> Flask:
    """A Flask that does nothing but JSON."""
    app = Flask("bare")
    app.config["MAX_CONTENT_LENGTH"] = 256 * 1024  # the worker reads it
    answers = json.loads(Path(os.environ["BARE_ANSWERS"]).read_text("utf-8"))

    @app.get("/health/ready")
    def ready() -> str:
        return ""

    @app.route("/v1/<path:path>", methods=["GET", "POST"])
    def answer(path: str) -> Response:
        if request.method == "POST":
            request.get_json()
        if "If-None-Match" in request.headers:
            return Response(status=304)
        said = answers[f"{request.method} {request.full_path.removesuffix('?')}"]
        return Response(said, content_type="application/json")

    return app
