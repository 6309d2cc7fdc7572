"""What every command of the console needs: the desk, and what is wrong told in a line."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager

import click
from typing_extensions import override

from service.http.refusals.words import said
from service.settings import Settings, SettingWrong
from service.storage.database import DatabaseUnavailable
from service.tailoring.refusals import Refusal
from service.use_cases.context import ServiceContext, open_context


class Written(click.ParamType[str]):
    """Text of one form; the columns and addresses that it goes into take no other."""

    def __init__(self, name: str, pattern: str, right: str) -> None:
        self.name, self._pattern, self._right = name, pattern, right

    @override
    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if not re.fullmatch(self._pattern, value):
            self.fail(f"{value!r}: it should be {self._right}", param, ctx)
        return value


# What the shell hands over that is no UTF-8 comes as surrogates, and no database takes those.
NAME = Written("name", r"[^\x00-\x1f\x7f\ud800-\udfff]{1,80}", "1 to 80 characters of one line")


@contextmanager
def opened_context() -> Iterator[ServiceContext]:
    """The counter's means over the database of the settings, let go of afterwards."""
    with told():
        context = open_context(Settings.read(os.environ))
        try:
            yield context
        finally:
            context.database.close()


@contextmanager
def told() -> Iterator[None]:
    """Say what is wrong in one line, without a traceback."""
    try:
        yield
    except SettingWrong as wrong:
        raise click.ClickException(str(wrong)) from wrong
    except Refusal as refusal:
        raise click.ClickException(said(refusal)) from refusal
    except DatabaseUnavailable as away:
        # PostgreSQL says it in several lines.
        raise click.ClickException(f"the database does not answer: {' '.join(str(away).split())}") from away
