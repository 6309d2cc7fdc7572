"""Whether suits of another drop would serve clearly better than what is on offer, and by how much.

The shop's own cut is held against the same cut with the drop of each reference block, size by size and whatever is in
stock: so the drop alone decides, not what else another chart has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.tailoring.garments.charts import Chart, Garment, reference_charts
from service.tailoring.garments.drops import ALIKE_MM, drop_of, in_drop, reference_drops
from service.tailoring.garments.stock import Stock
from service.tailoring.quantities import Length, inches_text
from service.tailoring.sizing.offers import Offers, Question
from service.tailoring.sizing.plans import Plan
from service.tailoring.work.prices import Money

# Another drop is worth a word from so many plain hems on: less than any of the work that it saves (common practice, no
# source).
CLEARLY_HEMS = 1.0
# Where a drop shows on a suit: at the waist and what follows it, and at the chest of a pair that goes by the waist.
SHOWS_AT = frozenset(
    {
        *(("jacket", place) for place in ("chest", "waist", "seat")),
        *(("trousers", place) for place in ("waist", "seat", "thigh")),
    }
)


@dataclass(frozen=True, slots=True)
class OtherDrop:
    """A drop that the charts asked for lack, and what it saves on the best of them.

    `labels` are the sizes in it by the labels of the best plan's chart. `charts` are those of the shop that have it
    and were not asked for: none where it has to be bought in.
    """

    drop: Length
    labels: Mapping[Garment, str]
    saves: Money
    charts: tuple[str, ...]
    words: str


def other_drop(question: Question, offers: Offers, plan: Plan, others: Sequence[Chart]) -> OtherDrop | None:
    """The drop that serves clearly better than those on offer, if there is one.

    Only a plan on which a drop shows is held against it: others have little to gain.
    """
    chart = next((each for each in question.charts if each.code == _code(plan)), None)
    if chart is None or "jacket" not in plan.chosen or not _shows(plan):
        return None
    carried = [drop for each in question.charts if (drop := drop_of(each)) is not None]
    lacking = [drop for drop in reference_drops() if all(abs(drop - had) >= ALIKE_MM for had in carried)]
    moved = {in_drop(chart, drop): drop for drop in lacking}
    now = [offer.best[0] for each in question.charts if (offer := offers.of(each, Stock())).is_open]
    if not moved or not now:
        return None
    offers.beside(tuple(moved))
    found = {each: offers.of(each, Stock()) for each in moved}
    best = {each: offer.best for each, offer in found.items() if offer.is_open}
    if not best:
        return None
    cut = min(best, key=lambda each: best[each][0])
    cost, row, column = best[cut]
    saves = min(now) - cost
    if saves < CLEARLY_HEMS * question.prices.plain_hem_minor:
        return None
    labels = {garment: cut.sizes[garment][at].label for garment, at in found[cut].sizes(row, column).items()}
    blocks = reference_charts()
    near = (*others, *(blocks.values() if chart.code in blocks else ()))
    drops = {each.code: drop_of(each) for each in near}
    have = tuple(code for code, drop in drops.items() if drop is not None and abs(drop - moved[cut]) < ALIKE_MM)
    money = Money(round(saves), question.prices.currency)
    return OtherDrop(Length(moved[cut], chart.unit), labels, money, have, _words(moved[cut], labels, have))


def _code(plan: Plan) -> str:
    return next(iter(plan.chosen.values())).chart


def _shows(plan: Plan) -> bool:
    return any((each.garment, each.place) in SHOWS_AT and each.verdict != "right" for each in plan.places)


def _words(drop_mm: float, labels: Mapping[Garment, str], have: tuple[str, ...]) -> str:
    sizes = ", ".join(f"{garment} {label}" for garment, label in labels.items())
    where = f"{', '.join(have)} has it" if have else "no chart here has it"
    return f"A drop of {inches_text(drop_mm)} in / {drop_mm / 10:.0f} cm would serve clearly better ({sizes}); {where}."
