"""Charts by shop, code and revision. A revision never changes, so each is built once a process."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, func, insert, select

from service.storage.line_tables import inlays_found
from service.storage.tables import charts
from service.tailoring.garments.charts import PLURALS, Chart, GarmentSize
from service.tailoring.garments.found_inlays import InlayFound

_NUMBERS = ("sku", "gtin")


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
    inlays = known_inlays(tx, shop_id, code, wanted)
    known = _built(shop_id, code, wanted, inlays)
    if not known:
        one = select(charts.c.content, charts.c.article_numbers).where(
            charts.c.shop_id == shop_id, charts.c.code == code, charts.c.revision == wanted
        )
        row = tx.execute(one).one_or_none()
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
    its = inlays_found.c
    asked = select(its.alteration, func.min(its.out_mm)).where(
        its.shop_id == shop_id, its.chart == code, its.revision == revision
    )
    return tuple(sorted((row[0], float(row[1])) for row in tx.execute(asked.group_by(its.alteration))))


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
