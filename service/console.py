"""The operator's console: shops, keys, charts, migrations, the contract, serving. No rules here."""

from __future__ import annotations

import csv
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn

import click
import orjson
from alembic import command
from alembic.config import Config
from typing_extensions import override

from service.app import create_app, open_desk
from service.counter import charts, keys, shops
from service.counter.desk import Desk
from service.http.api import contract, operations
from service.http.refusal_words import said
from service.settings import Settings, SettingWrong
from service.storage.database import DatabaseUnavailable
from service.tailoring.charts import SOLD, ChartHead
from service.tailoring.money import PriceList
from service.tailoring.quantities import LENGTH_UNITS, LengthUnit, length
from service.tailoring.refusals import Refusal

HOUSE = Path(__file__).resolve().parent.parent
CONTRACT = HOUSE / "openapi" / "openapi.json"
OPERATIONS = HOUSE / "openapi" / "operations.txt"


class Written(click.ParamType[str]):
    """Text of one form; the columns and addresses that it goes into take no other."""

    def __init__(self, name: str, pattern: str, right: str) -> None:
        self.name, self._pattern, self._right = name, pattern, right

    @override
    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if not re.fullmatch(self._pattern, value):
            self.fail(f"{value!r}: right would be {self._right}", param, ctx)
        return value


NAME = Written("name", r"[^\x00-\x1f\x7f]{1,80}", "1 to 80 characters of one line")
CURRENCY = Written("currency", "[A-Z]{3}", "an ISO 4217 code, as EUR")
TAX_CATEGORY = Written("category", "[A-Za-z0-9._-]{1,24}", "1 to 24 letters, digits, dots, hyphens")
CHART_CODE = Written("code", "[A-Za-z0-9._-]{1,40}", "1 to 40 letters, digits, dots, hyphens")
HEM_MOST_MINOR = 1_000_000


@click.group()
def main() -> None:
    """Run the fitting service."""


@main.command()
def serve() -> NoReturn:
    """Serve the API with gunicorn (docker/gunicorn.conf.py) at FITTING_BIND."""
    with _told():
        Settings.read(os.environ)
    config = str(HOUSE / "docker" / "gunicorn.conf.py")
    os.execv(sys.executable, [sys.executable, "-m", "gunicorn", "--config", config, "service.app:create_app()"])  # noqa: S606


@main.command()
@click.option("--to", "revision", default="head", show_default=True, help="the revision to go to")
def migrate(revision: str) -> None:
    """Bring the database's tables to a revision."""
    with _told():
        settings = Settings.read(os.environ)
        _check_answers(settings)
        command.upgrade(alembic_config(settings.database_url), revision)
    click.echo(f"migrated to {revision}")


@main.command()
@click.argument("name", type=NAME)
@click.option("--time-zone", required=True, help="IANA name, as Europe/Dublin")
@click.option("--currency", type=CURRENCY, required=True, help="ISO 4217 code")
@click.option(
    "--plain-hem", type=click.IntRange(1, HEM_MOST_MINOR), required=True, help="price of a plain hem, in minor units"
)
@click.option("--tax-category", type=TAX_CATEGORY, default="standard", show_default=True)
def add_shop(name: str, time_zone: str, currency: str, plain_hem: int, tax_category: str) -> None:
    """Open a shop; prints its id."""
    prices = PriceList(currency=currency, plain_hem_minor=plain_hem, tax_category=tax_category)
    with _desk() as desk:
        click.echo(shops.open_shop(desk, name, time_zone, prices))


@main.command()
@click.argument("shop")
@click.argument("name", type=NAME)
@click.option("--scope", "scopes", multiple=True, required=True, type=click.Choice(keys.SCOPES))
def add_key(shop: str, name: str, scopes: tuple[str, ...]) -> None:
    """Give out a key of a shop; prints it for the only time."""
    with _desk() as desk:
        click.echo(keys.give_key(desk, shop, name, frozenset(scopes)))


@main.command()
@click.argument("key")
def revoke_key(key: str) -> None:
    """Take a key out of use; KEY is its first part, before the dot."""
    with _desk() as desk:
        keys.revoke_key(desk, key.partition(".")[0])
    click.echo("revoked")


@main.command()
@click.argument("shop")
@click.argument("code", type=CHART_CODE)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--title", type=NAME, required=True)
@click.option("--unit", type=click.Choice(LENGTH_UNITS), default="in", show_default=True)
@click.option("--sold", type=click.Choice(SOLD), default="separates", show_default=True)
@click.option("--drop", help="chest less waist of pairs, in the chart's unit")
@click.option("--finished-legs", is_flag=True, help="trousers are sold hemmed")
@click.option("--worked-buttonholes", is_flag=True, help="jacket cuffs have worked holes")
def load_chart(  # noqa: PLR0913  one option a fact of the chart
    shop: str,
    code: str,
    file: Path,
    *,
    title: str,
    unit: LengthUnit,
    sold: str,
    drop: str | None,
    finished_legs: bool,
    worked_buttonholes: bool,
) -> None:
    """Load a CSV of finished measures as the chart's next revision (README: charts)."""
    with _desk() as desk:
        head = ChartHead(
            code=code,
            title=title,
            unit=unit,
            sold="pairs" if sold == "pairs" else "separates",
            drop=length(drop, unit) if drop else None,
            unfinished=not finished_legs,
            worked_buttonholes=worked_buttonholes,
        )
        loaded = charts.load_chart(desk, shop, head, _rows(file))
    click.echo(f"{code} revision {loaded.revision}: {len(loaded.jackets)} jackets, {len(loaded.trousers)} trousers")


@main.command()
@click.option("--check", is_flag=True, help="write nothing; exit 1 if the committed contract is another")
def write_contract(*, check: bool) -> None:
    """Write openapi/openapi.json and openapi/operations.txt from the schemas."""
    app = create_app(Settings())
    written = {
        CONTRACT: orjson.dumps(contract(app), option=orjson.OPT_INDENT_2 | orjson.OPT_SORT_KEYS).decode() + "\n",
        OPERATIONS: "".join(f"{line}\n" for line in operations(app)),
    }
    stale = [path for path, text in written.items() if not path.exists() or path.read_text("utf-8") != text]
    if check:
        for path in stale:
            click.echo(
                f"{path.relative_to(HOUSE)} is not what the code says: run write-contract and commit it", err=True
            )
        sys.exit(1 if stale else 0)
    for path in stale:
        path.write_text(written[path], "utf-8")
        click.echo(f"wrote {path.relative_to(HOUSE)}")


def alembic_config(url: str) -> Config:
    """Alembic's settings (pyproject.toml) with the database to migrate."""
    config = Config(toml_file=str(HOUSE / "pyproject.toml"))
    config.set_main_option("sqlalchemy.url", url.replace("%", "%%"))
    return config


def _rows(file: Path) -> list[dict[str, str]]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            return list(csv.DictReader(lines))
    except (UnicodeDecodeError, csv.Error) as error:
        raise click.ClickException(f"{file} is no CSV file in UTF-8: {error}") from error


def _check_answers(settings: Settings) -> None:
    database = open_desk(settings).database
    try:
        if not database.answers():
            raise DatabaseUnavailable(settings.database_url.rpartition("@")[2])
    finally:
        database.close()


@contextmanager
def _desk() -> Iterator[Desk]:
    with _told():
        desk = open_desk(Settings.read(os.environ))
        try:
            yield desk
        finally:
            desk.database.close()


@contextmanager
def _told() -> Iterator[None]:
    """Say what is wrong in one line, without a traceback."""
    try:
        yield
    except SettingWrong as wrong:
        raise click.ClickException(str(wrong)) from wrong
    except Refusal as refusal:
        raise click.ClickException(said(refusal)) from refusal
    except DatabaseUnavailable as away:
        raise click.ClickException(f"the database does not answer: {away}") from away
