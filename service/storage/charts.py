"""Charts by shop, code and revision. A revision never changes, so each is built once a process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Row, bindparam, func, insert, select

from service.storage.line_tables import inlays_found
from service.storage.statements import Question
from service.storage.tables import charts
from service.tailoring.garments.charts import PLURALS, Chart, GarmentSize
from service.tailoring.garments.found_inlays import InlayFound

_NUMBERS = ("sku", "gtin")
# Made once: making a statement takes as long as running it.
_NEWEST = (
    select(charts.c.code, func.max(charts.c.revision).label("revision"))
    .where(charts.c.shop_id == bindparam("of_shop"))
    .group_by(charts.c.code)
)
_NEWEST_OF_ALL = Question(_NEWEST)
_NEWEST_NAMED = _NEWEST.where(charts.c.code.in_(bindparam("codes", expanding=True)))
_ONE = select(charts.c.content, charts.c.article_numbers).where(
    charts.c.shop_id == bindparam("of_shop"),
    charts.c.code == bindparam("code"),
    charts.c.revision == bindparam("revision"),
)
_INLAYS = (
    select(
        inlays_found.c.chart,
        inlays_found.c.revision,
        inlays_found.c.alteration,
        func.min(inlays_found.c.out_mm).label("out_mm"),
    )
    .where(inlays_found.c.shop_id == bindparam("of_shop"))
    .group_by(inlays_found.c.chart, inlays_found.c.revision, inlays_found.c.alteration)
)
_INLAYS_OF_ALL = Question(_INLAYS)
_INLAYS_OF_ONE = _INLAYS.where(
    inlays_found.c.chart == bindparam("code"), inlays_found.c.revision == bindparam("revision")
)


def add_chart(tx: Connection, shop_id: str, chart: Chart, now: datetime) -> None:
    """Keep a revision."""
    tx.execute(
        insert(charts).values(
            shop_id=shop_id,
            code=chart.code,
            revision=chart.revision,
            content=_content(chart),
            article_numbers=_article_numbers(chart),
            loaded_at=now,
        )
    )


def last_revision(tx: Connection, shop_id: str, code: str) -> int:
    """The newest revision of a chart; 0 where there is none."""
    newest = select(func.max(charts.c.revision)).where(charts.c.shop_id == shop_id, charts.c.code == code)
    return int(tx.execute(newest).scalar() or 0)


def codes(tx: Connection, shop_id: str) -> tuple[str, ...]:
    """The codes of a shop's charts, sorted."""
    known = select(charts.c.code).where(charts.c.shop_id == shop_id).distinct()
    # Not by the database: PostgreSQL sorts text by the locale that it was set up with.
    return tuple(sorted(tx.execute(known).scalars()))


def find_chart(tx: Connection, shop_id: str, code: str, revision: int | None = None) -> Chart | None:
    """A revision of a chart; its newest where none is named."""
    wanted = revision or last_revision(tx, shop_id, code)
    return _chart_of(tx, shop_id, code, wanted, known_inlays(tx, shop_id, code, wanted))


def newest_charts(tx: Connection, shop_id: str, named: Sequence[str] | None = None) -> dict[str, Chart]:
    """The newest revisions of a shop's charts, or of those named that there are, by code and in order of it.

    Two statements, however many charts there are, once they are built.
    """
    if named is None:
        rows: Sequence[Any] = _NEWEST_OF_ALL.all(tx, of_shop=shop_id)
    else:
        rows = tx.execute(_NEWEST_NAMED, {"of_shop": shop_id, "codes": named}).all() if named else []
    inlays = _inlays_of(_INLAYS_OF_ALL.all(tx, of_shop=shop_id)) if rows else {}
    found = {}
    # Not sorted by the database: PostgreSQL sorts text by the locale that it was set up with.
    for code, revision in sorted((row.code, row.revision) for row in rows):
        chart = _chart_of(tx, shop_id, code, revision, inlays.get((code, revision), ()))
        if chart is not None:
            found[code] = chart
    return found


def _chart_of(
    tx: Connection, shop_id: str, code: str, revision: int, inlays: tuple[tuple[str, float], ...]
) -> Chart | None:
    known = _built(shop_id, code, revision, inlays)
    if not known:
        row = tx.execute(_ONE, {"of_shop": shop_id, "code": code, "revision": revision}).one_or_none()
        if row is None:
            return None
        chart = _chart(row.content, row.article_numbers or {})
        known.append(replace(chart, inlays=inlays) if inlays else chart)
    return known[0]


def revision_at(tx: Connection, shop_id: str, code: str, at: datetime) -> int | None:
    """The revision of a chart that was the newest at a time; None where there was none."""
    then = (charts.c.shop_id == shop_id) & (charts.c.code == code) & (charts.c.loaded_at <= at)
    found = tx.execute(select(func.max(charts.c.revision)).where(then)).scalar()
    return None if found is None else int(found)


def remember_inlay(tx: Connection, shop_id: str, found_id: str, revision: int, found: InlayFound) -> None:
    """Keep what a bench found in a piece of that revision of its chart."""
    row = {"id": found_id, "shop_id": shop_id, "revision": revision, **asdict(found)}
    tx.execute(insert(inlays_found).values(row))


def known_inlays(tx: Connection, shop_id: str, code: str, revision: int) -> tuple[tuple[str, float], ...]:
    """By alteration, the least that came out of what was found in pieces of a revision: what may be relied on."""
    rows = tx.execute(_INLAYS_OF_ONE, {"of_shop": shop_id, "code": code, "revision": revision}).all()
    return _inlays_of(rows).get((code, revision), ())


def _inlays_of(rows: Sequence[Row[*tuple[Any, ...]]]) -> dict[tuple[str, int], tuple[tuple[str, float], ...]]:
    """By chart and revision, what may be relied on, by alteration."""
    found: dict[tuple[str, int], list[tuple[str, float]]] = {}
    for row in rows:
        found.setdefault((row.chart, row.revision), []).append((row.alteration, float(row.out_mm)))
    return {of: tuple(sorted(inlays)) for of, inlays in found.items()}


@lru_cache(maxsize=256)
def _built(_shop_id: str, _code: str, _revision: int, _inlays: tuple[tuple[str, float], ...]) -> list[Chart]:
    """Where a built chart is put down: its identity is the key to the arrays made for it."""
    return []


def _content(chart: Chart) -> dict[str, Any]:
    return {
        "code": chart.code,
        "title": chart.title,
        "unit": chart.unit,
        "sold": chart.sold,
        "drop_mm": chart.drop_mm,
        "unfinished": chart.unfinished,
        "worked_buttonholes": chart.worked_buttonholes,
        "revision": chart.revision,
        **{PLURALS[garment]: [_size_content(size) for size in sizes] for garment, sizes in chart.sizes.items()},
    }


def _size_content(size: GarmentSize) -> dict[str, Any]:
    return {
        "label": size.label,
        "length_class": size.length_class,
        "body_mm": size.body_mm,
        "measures": dict(size.measures),
    }


def _article_numbers(chart: Chart) -> dict[str, dict[str, dict[str, str]]] | None:
    """By garment and label what the shop calls its sizes, beside their measures; None where it has given no number."""
    numbered = {
        PLURALS[garment]: {
            size.label: {name: number for name in _NUMBERS if (number := getattr(size, name))}
            for size in sizes
            if size.sku or size.gtin
        }
        for garment, sizes in chart.sizes.items()
    }
    return {name: sizes for name, sizes in numbered.items() if sizes} or None


def _chart(content: dict[str, Any], numbers: dict[str, dict[str, dict[str, str]]]) -> Chart:
    head = {name: value for name, value in content.items() if name not in PLURALS.values()}
    sizes = {
        garment: tuple(_size(size, numbers.get(name, {})) for size in content[name])
        for garment, name in PLURALS.items()
    }
    return Chart(**head, sizes=sizes)


def _size(content: dict[str, Any], numbers: dict[str, dict[str, str]]) -> GarmentSize:
    measures = tuple(content["measures"].items())
    return GarmentSize(**{**content, "measures": measures, **numbers.get(content["label"], {})})
