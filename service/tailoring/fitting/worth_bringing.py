"""Whether another size is worth bringing, for it cures what was seen, and what stays wrong on the size advised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.tailoring.fitting.fit_points import worn_band
from service.tailoring.fitting.sightings import Judgement
from service.tailoring.garments.charts import ChartSize, Garment
from service.tailoring.garments.places import places
from service.tailoring.notices import Notice
from service.tailoring.sizing.plans import PlaceReport, Plan
from service.tailoring.sizing.serving import Serving
from service.tailoring.work.hard_alterations import hard_among


def is_cured_by(
    keeping: Plan,
    other: Plan,
    judgements: Sequence[Judgement],
    vague: frozenset[tuple[str, str]],
    *,
    sold_apart: bool,
) -> bool:
    """Whether another size is worth bringing: what is worn needs more than a needle, and the other fits what was seen.

    One alteration that is not hard is made, whatever a size beside it would cost (common practice, no source). At the
    `vague` (garment, place) a look told that something is wrong, and nobody how much.
    """
    changed = [garment for garment in other.chosen if other.chosen[garment] != keeping.chosen.get(garment)]
    wanted = [_wants_another(keeping, garment, judgements, vague) for garment in changed]
    # Of a pair one goes with the other; what is sold apart is brought for its own sake.
    asked_for = all(wanted) if sold_apart else any(wanted)
    return asked_for and all(fits_what_was_seen(garment, other, judgements) for garment in changed)


def _wants_another(
    keeping: Plan, garment: Garment, judgements: Sequence[Judgement], vague: frozenset[tuple[str, str]]
) -> bool:
    """Whether some place that was taped or seen is past every needle, or the work on it is hard or manifold."""
    worn_so = {each.point.place for each in judgements if each.point.garment == garment and each.watch}
    right = {each.point.place for each in judgements if each.point.garment == garment and each.verdict == "right"}
    mine = [each for each in keeping.places if each.garment == garment and each.seen and each.place not in right]
    if any(each.misfit and each.place not in worn_so and (garment, each.place) not in vague for each in mine):
        return True
    codes = {each.alteration for each in mine if each.alteration and each.verdict != "right"}
    girths = {each.alteration for each in mine if each.alteration in codes and not is_length(garment, each.place)}
    return bool(hard_among(codes)) or len(girths) > 1


def fits_what_was_seen(garment: Garment, plan: Plan, judgements: Sequence[Judgement]) -> bool:
    """Whether every place that was looked at is right in that size, or is altered to be; one seen wrong is worn so."""
    mine = [each for each in judgements if each.point.garment == garment and each.verdict]
    right = {each.point.place for each in mine if each.verdict == "right"}
    reports = {each.place: each for each in plan.places if each.garment == garment and each.misfit}
    return not any(
        each.point.place in reports
        and (each.point.place in right or not _is_still_worn(each, reports[each.point.place]))
        for each in mine
    )


def _is_still_worn(judgement: Judgement, report: PlaceReport) -> bool:
    band = worn_band(judgement.point)
    return band is not None and band[0] <= report.residual_mm <= band[1]


def is_length(garment: Garment, name: str) -> bool:
    """Whether a place of a garment is a length."""
    return any(place.basis == "length" for place in places(garment) if place.name == name)


def stays_wrong(plan: Plan, serves: Serving, unruled: frozenset[tuple[str, str]]) -> tuple[Notice, ...]:
    """What stays wrong on the advised plan, and what would serve.

    At the `unruled` (garment, place) of what is worn nobody looked, or a look told that something is wrong and nobody
    how much: that no alteration cures it is not known there, nor that no size serves. It is to be measured.
    """
    doubted = tuple(each for each in plan.beyond if (each.garment, each.place) in unruled)
    sure = {each.garment for each in plan.beyond if each not in doubted}
    known = replace(serves, instead=tuple(each for each in serves.instead if each.garment in sure))
    sizes = {each.garment: each.size for each in serves.instead}
    return (
        *known.notices,
        *replace(plan, places=tuple(each for each in plan.places if each not in doubted)).notices,
        *(_to_measure(each, sizes.get(each.garment)) for each in doubted),
    )


def _to_measure(at: PlaceReport, size: ChartSize | None) -> Notice:
    what = "what is sewn may not be enough" if at.seen else "estimated, and it may be more than can be altered"
    bring = f", or try {size.label} of {size.chart}" if size else ""
    words = f"{at.garment}, {at.place.replace('_', ' ')}: {what}. Measure it on the customer{bring}."
    return Notice("amount_not_measured", (), words)
