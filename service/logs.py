"""The service's own log: a JSON object a line, with the request's id, nothing of a person. Imports nothing of ours.

What may stand in a line is listed: whatever else code hands over is left out. Of an exception the kind and the places
in the code are told, never its message, which may quote what a caller sent.
"""

from __future__ import annotations

import logging.config
import sys
import traceback
from collections.abc import Iterator, MutableMapping
from typing import Any

import structlog

# All that a line may say, besides when, how bad and what.
FACTS = (
    "request_id", "operation", "method", "status", "code", "milliseconds", "key",
    "webhook", "why", "again_seconds", "fault", "places",
)  # fmt: skip
ALWAYS = ("timestamp", "level", "logger", "event")
Line = MutableMapping[str, Any]


def config() -> dict[str, Any]:
    """How logging is set up, as `logging.config.dictConfig` takes it; gunicorn takes the same."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": {"()": _formatter}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line", "stream": "ext://sys.stderr"}},
        "root": {"level": "INFO", "handlers": ["stderr"]},
        "loggers": {
            # Its workers' comings and goings; without handlers of their own they come here.
            "gunicorn.error": {"level": "INFO", "handlers": [], "propagate": True},
            "gunicorn.access": {"level": "CRITICAL", "handlers": [], "propagate": False},
            "alembic": {"level": "WARNING"},
        },
    }


def configure() -> None:
    """Set logging up for this process."""
    logging.config.dictConfig(config())


def follow(**facts: str) -> None:
    """Say these facts in every line from here on, and no others of before."""
    structlog.contextvars.clear_contextvars()
    structlog.contextvars.bind_contextvars(**facts)


def _formatter() -> logging.Formatter:
    return structlog.stdlib.ProcessorFormatter(
        foreign_pre_chain=[
            structlog.contextvars.merge_contextvars,
            structlog.stdlib.add_log_level,
            structlog.stdlib.add_logger_name,
            structlog.stdlib.ExtraAdder(allow=FACTS),
            structlog.processors.TimeStamper(fmt="iso", utc=True),
        ],
        processors=[_without_message, _only_what_is_listed, structlog.processors.JSONRenderer()],
    )


def _without_message(_logger: object, _name: str, line: Line) -> Line:
    """Kind and places of an exception, and of those that caused it."""
    given = line.pop("exc_info", None)
    if given:
        fault = sys.exc_info()[1] if given is True else given[1] if isinstance(given, tuple) else given
        line["fault"] = [type(each).__name__ for each in _causes(fault)]
        line["places"] = [
            f"{frame.filename.rpartition('/site-packages/')[2]}:{frame.lineno} {frame.name}"
            for each in _causes(fault)
            for frame in traceback.extract_tb(each.__traceback__)
        ]
    return line


def _causes(fault: BaseException | None) -> Iterator[BaseException]:
    while fault is not None:
        yield fault
        fault = fault.__cause__ or (None if fault.__suppress_context__ else fault.__context__)


def _only_what_is_listed(_logger: object, _name: str, line: Line) -> Line:
    return {name: line[name] for name in (*ALWAYS, *FACTS) if name in line}
