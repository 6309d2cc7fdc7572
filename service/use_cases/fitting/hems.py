"""Hem plans: where each leg ends, from its pin, or reckoned for a man whom nobody can pin."""

from __future__ import annotations

from service.tailoring.hems import hem_plans
from service.tailoring.hems.hem_plans import HemAnswer, HemPlanAsked
from service.tailoring.hems.inside_legs import DIMENSION
from service.tailoring.refusals import Where
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.measurement_sets import BodyEvidence, body_asked, looking_up
from service.use_cases.shop.charts import known_charts


def plan_hems(context: ServiceContext, caller: Caller, asked: HemPlanAsked, known: BodyEvidence) -> HemAnswer:
    """Where each leg ends, for a man of whom so much is `known`.

    Raises Refusal as `hem_plans.plan_hems`, or what `body_asked` refuses.
    """
    with looking_up(context, known) as tx:
        body = body_asked(tx, context, caller, known)[0] if known != BodyEvidence() else None
        chart = known_charts(tx, caller.shop.id, [asked.chart]).get(asked.chart) if asked.chart else None
    return hem_plans.plan_hems(asked, body, chart, _where_known(known))


def _where_known(known: BodyEvidence) -> Where:
    """Where in the request his inside leg comes from, if not from `inside_leg`."""
    for i, each in enumerate(known.readings):
        if each.dimension == DIMENSION:
            return ("readings", i)
    return ("measurement_set",) if known.measurement_set else ("readings",)
