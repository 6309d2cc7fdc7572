"""The operator's console: shops, keys, charts, migrations, the contract, serving. No rules here.

A command imports inside itself what it alone needs: naming a key waits for no engine and no web framework.
"""

from __future__ import annotations

import csv
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click
from click.core import ParameterSource

from service.console import delivery, keys, privacy, restores
from service.console.context import NAME, Written, opened_context, told
from service.settings import Settings
from service.storage.database import DatabaseUnavailable
from service.tailoring.garments.charts import SOLD
from service.tailoring.quantities import LENGTH_UNITS
from service.tailoring.work.prices import PriceList
from service.tongues.tags import TAGS
from service.use_cases.context import open_context
from service.use_cases.shop import charts, shops

if TYPE_CHECKING:
    from alembic.config import Config

    from service.http.shop.chart_bodies import ChartAsked

HOUSE = Path(__file__).resolve().parents[2]
CONTRACT = HOUSE / "openapi" / "openapi.json"
OPERATIONS = HOUSE / "openapi" / "operations.txt"
PROBLEMS = HOUSE / "openapi" / "PROBLEMS.md"


CURRENCY = Written("currency", "[A-Z]{3}", "an ISO 4217 code, such as EUR")
TAX_CATEGORY = Written("category", "[A-Za-z0-9._-]{1,24}", "1 to 24 letters, digits, dots, hyphens")
CHART_CODE = Written("code", "[A-Za-z0-9._-]{1,40}", "1 to 40 letters, digits, dots, hyphens")
HOUR = Written("hour", "(?:[01][0-9]|2[0-3]):[0-5][0-9]", "an hour of the day, such as 16:00")
HEM_MOST_MINOR = 1_000_000


@click.group()
def main() -> None:
    """Run the fitting service."""


for named in (
    delivery.deliver,
    keys.add_key,
    keys.list_keys,
    keys.rotate_key,
    keys.revoke_key,
    privacy.keep_readings,
    privacy.forget_expired,
    privacy.count_men,
    privacy.judge_by,
    privacy.show_men,
    privacy.new_readings_key,
    privacy.reseal,
    restores.restored,
):
    main.add_command(named)


@main.command()
def serve() -> NoReturn:
    """Serve the API with gunicorn (docker/gunicorn.conf.py) at FITTING_BIND."""
    with told():
        Settings.read(os.environ)
    config = str(HOUSE / "docker" / "gunicorn.conf.py")
    os.execv(sys.executable, [sys.executable, "-m", "gunicorn", "--config", config, "service.app:create_app()"])  # noqa: S606


@main.command()
@click.option("--to", "revision", default="head", show_default=True, help="the revision to go to")
def migrate(revision: str) -> None:
    """Bring the database's tables to a revision."""
    from alembic import command  # noqa: PLC0415

    with told():
        settings = Settings.read(os.environ)
        _check_answers(settings)
        command.upgrade(alembic_config(settings.database_url), revision)
    click.echo(f"migrated to {revision}")


@main.command()
@click.argument("name", type=NAME)
@click.option("--time-zone", required=True, help="IANA name, such as Europe/Dublin")
@click.option("--currency", type=CURRENCY, required=True, help="ISO 4217 code")
@click.option(
    "--plain-hem", type=click.IntRange(1, HEM_MOST_MINOR), required=True, help="price of a plain hem, in minor units"
)
@click.option("--tax-category", type=TAX_CATEGORY, default="standard", show_default=True)
def add_shop(name: str, time_zone: str, currency: str, plain_hem: int, tax_category: str) -> None:
    """Open a shop; prints its id."""
    prices = PriceList.of_plain_hem(plain_hem, currency, tax_category)
    with opened_context() as context:
        click.echo(shops.open_shop(context, name, time_zone, prices))


@main.command()
@click.argument("shop")
@click.option("--ready-from", type=HOUR, help="from what time a piece may be collected on its day, such as 16:00")
@click.option("--ask-at", type=NAME, help="where a customer asks: a telephone number, an address, a counter")
@click.option(
    "--language", type=click.Choice(TAGS), help="the shop's: of its tickets, and where a reader's is not known"
)
def say_on_slips(shop: str, ready_from: str | None, ask_at: str | None, language: str | None) -> None:
    """Set what customers' slips say: from what time to collect, where to ask, and in which language."""
    with opened_context() as context:
        shops.say_on_slips(context, shop, ready_from, ask_at, language)
    click.echo("said")


@main.command()
@click.argument("shop")
@click.option("--by", type=click.Choice(["another", "anyone"]), required=True, help="anyone: for a shop of one tailor")
def let_check(shop: str, by: str) -> None:
    """Set who may check sewn work: somebody other than who sewed it (the default), or anyone."""
    with opened_context() as context:
        shops.let_check(context, shop, anyone=by == "anyone")
    click.echo(f"checked by {by}")


@main.command()
@click.argument("shop")
@click.argument("code", type=CHART_CODE)
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--title", type=NAME, help="needed for a CSV file")
@click.option("--unit", type=click.Choice(LENGTH_UNITS), default="in", show_default=True)
@click.option("--sold", type=click.Choice(SOLD), default="separates", show_default=True)
@click.option("--drop", help="chest less waist of pairs, in the chart's unit")
@click.option("--finished-legs", is_flag=True, help="trousers are sold hemmed")
@click.option("--worked-buttonholes", is_flag=True, help="jacket cuffs have worked buttonholes")
@click.pass_context
def load_chart(context: click.Context, /, shop: str, code: str, file: Path, **options: Any) -> None:  # noqa: ANN401  click's
    """Load finished measures as the chart's next revision (openapi/README.md: charts).

    FILE is CSV, or JSON as PUT /v1/charts takes it, which needs no options.
    """
    with opened_context() as service_context:
        asked = _json_chart(context, file) if file.suffix.lower() == ".json" else _csv_chart(file, options)
        loaded, new = charts.load_chart(service_context, shop, asked.named(code), asked.rows)
    counts = {garment: len(sizes) for garment, sizes in loaded.sizes.items()}
    sizes = f"{counts['jacket']} jackets, {counts['trousers']} trousers"
    if counts["waistcoat"]:
        sizes += f", {counts['waistcoat']} waistcoats"
    click.echo(f"{code} revision {loaded.revision}: {sizes}" + ("" if new else "; no change"))


@main.command()
@click.option("--check", is_flag=True, help="write nothing; exit 1 if the committed contract differs")
def write_contract(*, check: bool) -> None:
    """Write openapi/openapi.json, operations.txt and PROBLEMS.md from schemas, operations and words of refusals."""
    import orjson  # noqa: PLC0415

    from service.app import create_app  # noqa: PLC0415
    from service.http.api import contract, operations  # noqa: PLC0415
    from service.http.contract.problem_pages import problems_table  # noqa: PLC0415

    app = create_app(Settings())
    written = {
        CONTRACT: orjson.dumps(contract(app), option=orjson.OPT_INDENT_2 | orjson.OPT_SORT_KEYS).decode() + "\n",
        OPERATIONS: "".join(f"{line}\n" for line in operations(app)),
        PROBLEMS: problems_table(),
    }
    stale = [path for path, text in written.items() if not path.exists() or path.read_text("utf-8") != text]
    if check:
        for path in stale:
            click.echo(f"{path.relative_to(HOUSE)} does not match the code: run write-contract and commit it", err=True)
        sys.exit(1 if stale else 0)
    for path in stale:
        path.write_text(written[path], "utf-8")
        click.echo(f"wrote {path.relative_to(HOUSE)}")


def alembic_config(url: str) -> Config:
    """Alembic's settings (pyproject.toml) with the database to migrate."""
    from alembic.config import Config  # noqa: PLC0415

    config = Config(toml_file=str(HOUSE / "pyproject.toml"))
    config.set_main_option("sqlalchemy.url", url.replace("%", "%%"))
    return config


def _json_chart(context: click.Context, file: Path) -> ChartAsked:
    said = [name for name in context.params if context.get_parameter_source(name) is ParameterSource.COMMANDLINE]
    options = [param.opts[0] for param in context.command.params if param.name in said and param.opts[0][0] == "-"]
    if options:
        raise click.UsageError(f"a JSON file has that in itself: leave out {', '.join(options)}")
    from service.http.shop.chart_bodies import chart_of_json  # noqa: PLC0415

    return chart_of_json(file.read_bytes())


def _csv_chart(file: Path, options: dict[str, Any]) -> ChartAsked:
    if options["title"] is None:
        raise click.UsageError("Missing option '--title'.")
    from service.http.shop.chart_bodies import ChartAsked  # noqa: PLC0415

    head = {name: options[name] for name in ("title", "unit", "sold", "worked_buttonholes")}
    head |= {"drop": options["drop"] or None, "unfinished": not options["finished_legs"]}
    return ChartAsked(head, _rows(file))


def _rows(file: Path) -> list[dict[str, Any]]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            return list(csv.DictReader(lines))
    except (UnicodeDecodeError, csv.Error) as error:
        raise click.ClickException(f"{file} is not a CSV file in UTF-8: {error}") from error


def _check_answers(settings: Settings) -> None:
    database = open_context(settings).database
    try:
        if not database.answers():
            raise DatabaseUnavailable(settings.database_url.rpartition("@")[2])
    finally:
        database.close()
