"""Alterations as far as the inlay lets them go that benches found in pieces of a chart."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from service.tailoring.garments.alterations import Alteration, alteration
from service.tailoring.garments.charts import Chart


@dataclass(frozen=True, slots=True)
class InlayFound:
    """Inlay that was found at the bench, on a piece of a chart: how much of the alteration comes out of it (mm)."""

    chart: str
    alteration: str
    out_mm: float
    by: str
    at: datetime


def alteration_on(chart: Chart, code: str) -> Alteration:
    """The alteration of that code on pieces of a chart. Raises Refusal `alteration_unknown`."""
    return alteration_with(chart.inlays, code)


def alteration_with(inlays: tuple[tuple[str, float], ...], code: str) -> Alteration:
    """The same where so much inlay (mm) was found for each alteration."""
    doing, most_mm = alteration(code), dict(inlays).get(code)
    if most_mm is None:
        return doing
    return replace(doing, increase_most_mm=min(doing.most_mm("increase"), most_mm), hard_most_mm=None)


def known_out_mm(chart: Chart | None, code: str) -> float | None:
    """How much of an alteration came out of what was found in pieces of the chart; None where nobody found any."""
    return dict(chart.inlays).get(code) if chart else None
