"""Diagnosis: which causes explain best what was seen, all of it together.

Each cause shows at its points with a chance of its own, independently of the others (a noisy-or network); what no
cause explains still shows now and then. Every set of a few causes is weighed by Bayes' rule on every sighting, what
was right included, and a cause is as likely as the sets that hold it. Nothing is drawn: the same sightings always have
the same causes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from typing import TypeAlias, TypeVar

import numpy as np

from service.tailoring.arrays import Array, Mask
from service.tailoring.body.posture import PostureNote
from service.tailoring.fitting.causes import Suspect, able_to_show, remedies_on, showing_at, suspects
from service.tailoring.fitting.fit_points import FitTable
from service.tailoring.fitting.sighting_facts import Fact, bits, figures, unexplained_share
from service.tailoring.garments.alterations import Side
from service.tailoring.refusals import Where

# [sets, causes]: whether each cause is in each set.
Sets: TypeAlias = Mask
# A point and a side of it.
Spot: TypeAlias = tuple[str, Side | None]
Ranked = TypeVar("Ranked")


@dataclass(frozen=True, slots=True)
class WeightedSighting:
    """What one sighting or note says of a cause: the natural logarithm of how much likelier it is under it."""

    at: Where
    point: str | None
    side: Side | None
    text: str
    weight: float


@dataclass(frozen=True, slots=True)
class Explanation:
    """A suspect, how likely it is after all that was seen, and what speaks for it and against it, weightiest first.

    Remedies, best first, are those on the garments that are worn.
    """

    suspect: Suspect
    probability: float
    speaks_for: tuple[WeightedSighting, ...]
    speaks_against: tuple[WeightedSighting, ...]
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LookNext:
    """A point that nobody looked at and that would tell the causes apart, and how many bits it is expected to tell."""

    point: str
    side: Side | None
    bits: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Causes, likeliest first, and where to look to be surer of them; both empty where nothing is wrong."""

    causes: tuple[Explanation, ...] = ()
    look_next: tuple[LookNext, ...] = ()


def diagnose(
    table: FitTable,
    facts: tuple[Fact, ...],
    worn: frozenset[str],
    notes: tuple[PostureNote, ...] = (),
    unseen: tuple[Spot, ...] = (),
) -> Diagnosis:
    """The causes of what was seen; `unseen` are the points and sides that may still be looked at."""
    wrong = [fact for fact in facts if fact.looks]
    network = _Network(table, facts, notes)
    found: list[tuple[float, Suspect]] = []
    telling: dict[Spot, float] = {}
    for group in network.groups(wrong):
        weighed = _Weighed(network, group, wrong)
        found += [(float(p), suspect) for p, suspect in zip(weighed.marginals, group, strict=True)]
        for spot, more in weighed.bits_at(unseen).items():
            telling[spot] = telling.get(spot, 0.0) + more
    likely = [each for each in sorted(found, key=_likelier) if each[0] >= figures()["listed_from"]]
    listed = _with_ties(likely, int(figures()["listed_most"]), lambda each: each[0])
    worth = [each for each in telling.items() if each[1] >= figures()["next_from_bits"]]
    following = sorted(worth, key=lambda each: -round(each[1], 9))
    return Diagnosis(
        tuple(network.explained(suspect, p, worn) for p, suspect in listed),
        tuple(
            LookNext(point, side, bits)
            for (point, side), bits in _with_ties(following, int(figures()["next_most"]), lambda each: each[1])
        ),
    )


class _Network:
    """The causes, the points, and what was seen and noted."""

    def __init__(self, table: FitTable, facts: tuple[Fact, ...], notes: tuple[PostureNote, ...]) -> None:
        self._table = table
        self._facts = facts
        self._notes = notes
        self._weights: dict[Suspect, list[float]] = {}
        self._faults: dict[str, list[str]] = {}
        self._away: dict[tuple[str, frozenset[str]], float] = {}

    def groups(self, wrong: list[Fact]) -> list[list[Suspect]]:
        """The suspects that something seen to be wrong speaks for, in groups that share no fault."""
        able = [able_to_show(fact.point, fact.side, fact.looks) for fact in wrong]
        # The tape suspects nobody by itself: it is heard on those whom the garment accuses.
        accused = set().union(*(here for here, fact in zip(able, wrong, strict=True) if fact.at))
        groups: list[frozenset[Suspect]] = []
        for here in (able_here & accused for able_here in able):
            touched = [group for group in groups if group & here]
            groups = [group for group in groups if group not in touched] + [here.union(*touched)]
        most = int(figures()["weighed_most"])
        return [self._likeliest([s for s in suspects() if s in group], most) for group in groups if group]

    def _likeliest(self, group: list[Suspect], most: int) -> list[Suspect]:
        alone = [(self.odds(suspect) + sum(self._weights_on(suspect)), suspect) for suspect in group]
        kept = _with_ties(sorted(alone, key=_likelier), most, lambda each: each[0])
        likeliest = {suspect for _, suspect in kept}
        return [suspect for suspect in group if suspect in likeliest]

    def odds(self, suspect: Suspect) -> float:
        """Log odds before anything is seen on the garment: its prior, and what was noted."""
        prior = suspect.cause.prior
        return math.log(prior / (1 - prior)) + sum(each.weight for each in self._noted(suspect))

    def _weights_on(self, suspect: Suspect) -> list[float]:
        """What each fact says of a cause, in natural logs."""
        if suspect not in self._weights:
            self._weights[suspect] = [self._weighed(fact, suspect) for fact in self._facts]
        return self._weights[suspect]

    def _weighed(self, fact: Fact, suspect: Suspect) -> float:
        """How much likelier the fact is with this cause alone than with none, in natural logs."""
        shares = _shares_in(fact, suspect)
        if not shares:
            return 0.0
        unexplained = self._unexplained(fact.point)
        there = {name: 1 - (1 - unexplained) * (1 - shares.get(name, 0.0)) for name in self._names(fact.point)}
        return fact.weight * (_log_chance(there, fact.looks) - self._log_unexplained(fact))

    def _log_unexplained(self, fact: Fact) -> float:
        """Log chance of a fact with no cause at all: the same beside every suspect."""
        asked = (fact.point, fact.looks)
        if asked not in self._away:
            shown = dict.fromkeys(self._names(fact.point), self._unexplained(fact.point))
            self._away[asked] = _log_chance(shown, fact.looks)
        return self._away[asked]

    def right_weight(self, suspect: Suspect) -> float:
        """What everything that was right says of a cause; it is the same whatever else is at work."""
        return sum(w for fact, w in zip(self._facts, self._weights_on(suspect), strict=True) if not fact.looks)

    def log_chance(self, fact: Fact, group: list[Suspect], sets: Sets) -> Array:
        """Log chance [sets] of a fact where the causes of each set are at work."""
        shown = self.shown(fact.point, [_shares_in(fact, suspect) for suspect in group], sets)
        names, looks = self._names(fact.point), fact.looks
        right = np.asarray(np.log1p(-shown).sum(axis=1))
        if not looks:
            return right
        part = shown[:, [names.index(look) for look in names if look in looks]].sum(axis=1) / shown.sum(axis=1)
        return np.asarray(np.log(-np.expm1(right)) + np.log(part))

    def shown(self, point: str, shares: list[dict[str, float]], sets: Sets) -> Array:
        """Chance [sets, looks] that each look that is not right shows, by any cause of the set or by none."""
        return self.shown_at([point], [shares], sets)[0]

    def shown_at(
        self, points: Sequence[str], shares: Sequence[list[dict[str, float]]], sets: Sets
    ) -> tuple[Array, list[int]]:
        """The same at several points, their looks side by side, and how many each point has."""
        names = [self._names(point) for point in points]
        each = [
            [of_point[cause].get(name, 0.0) for of_point, here in zip(shares, names, strict=True) for name in here]
            for cause in range(sets.shape[1])
        ]
        counts = [len(here) for here in names]
        unexplained = np.repeat([self._unexplained(point) for point in points], counts)
        return np.asarray(1 - (1 - unexplained) * np.exp(sets.astype(float) @ np.log1p(-np.array(each)))), counts

    def _names(self, point: str) -> list[str]:
        """The looks of a point that are not right."""
        if point not in self._faults:
            looks = self._table.looks[point]
            self._faults[point] = list(dict.fromkeys(look.name for look in looks if look.verdict != "right"))
        return self._faults[point]

    def _unexplained(self, point: str) -> float:
        return unexplained_share(point) / len(self._names(point))

    def _noted(self, suspect: Suspect) -> list[WeightedSighting]:
        return [
            WeightedSighting(
                ("posture", i), None, note.side, f"noted: {note.kind.words}", math.log(figures()["noted_odds"])
            )
            for i, note in enumerate(self._notes)
            if note.name == suspect.cause.posture and note.side == suspect.side
        ]

    def explained(self, suspect: Suspect, probability: float, worn: frozenset[str]) -> Explanation:
        """The suspect with its evidence; what both sides show is told once."""
        by_sighting: dict[tuple[Where, str], WeightedSighting] = {}
        for fact, weight in zip(self._facts, self._weights_on(suspect), strict=True):
            one = WeightedSighting(fact.at, fact.point, fact.side, fact.text, weight)
            other = by_sighting.get((fact.at, fact.text))
            by_sighting[fact.at, fact.text] = (
                replace(one, side="both", weight=one.weight + other.weight) if other else one
            )
        said_of = [*by_sighting.values(), *self._noted(suspect)]
        telling = sorted(
            (each for each in said_of if abs(each.weight) >= figures()["telling_from"]),
            key=lambda each: -round(abs(each.weight), 9),
        )
        return Explanation(
            suspect,
            probability,
            tuple(each for each in telling if each.weight > 0),
            tuple(each for each in telling if each.weight < 0),
            remedies_on(suspect.cause, worn),
        )


def _shares_in(fact: Fact, suspect: Suspect) -> dict[str, float]:
    """How often a cause shows so; one that has no side seldom shows on one side alone."""
    shares = suspect.shares(fact.point, fact.side)
    if not fact.alone or not fact.looks or suspect.side is not None:
        return shares
    return {look: share * figures()["one_side_share"] for look, share in shares.items()}


def _log_chance(shown: dict[str, float], looks: frozenset[str]) -> float:
    right = math.prod(1 - chance for chance in shown.values())
    if not looks:
        return math.log(right)
    return math.log((1 - right) * sum(shown[look] for look in looks) / sum(shown.values()))


class _Weighed:
    """Every set of a few causes of one group, and how likely each is."""

    def __init__(self, network: _Network, group: list[Suspect], wrong: list[Fact]) -> None:
        self._network, self._group = network, group
        self._sets = _sets_of(len(group), int(figures()["together_most"]))
        alone = np.array([network.odds(suspect) + network.right_weight(suspect) for suspect in group])
        score = self._sets.astype(float) @ alone
        for fact in wrong:
            if any(fact.looks & suspect.shares(fact.point, fact.side).keys() for suspect in group):
                score = score + fact.weight * network.log_chance(fact, group, self._sets)
        likely = np.exp(score - score.max())
        self._chances = likely / likely.sum()
        self.marginals = self._chances @ self._sets.astype(float)
        # Where to look next is reckoned on the sets that count.
        kept = np.round(self._chances / self._chances.max(), 9) >= figures()["next_sets_from"]
        self._sets, self._chances = self._sets[kept], self._chances[kept] / self._chances[kept].sum()

    def bits_at(self, spots: Sequence[Spot]) -> dict[Spot, float]:
        """What a look at each spot is expected to tell of these causes: the mutual information of look and set."""
        telling = [spot for spot in spots if not showing_at(*spot).isdisjoint(self._group)]
        if not telling:
            return {}
        shares = [[suspect.shares(*spot) for suspect in self._group] for spot in telling]
        shown, counts = self._network.shown_at([point for point, _ in telling], shares, self._sets)
        return dict(zip(telling, bits(self._chances, shown, counts), strict=True))


@cache
def _sets_of(count: int, most: int) -> Sets:
    """Every set of at most `most` out of `count`."""
    chosen = [set_ for size in range(min(most, count) + 1) for set_ in combinations(range(count), size)]
    sets = np.zeros((len(chosen), count), dtype=np.bool_)
    for row, set_ in enumerate(chosen):
        sets[row, list(set_)] = True
    return sets


def _likelier(each: tuple[float, Suspect]) -> tuple[float, str, str]:
    # To nine places, so that the last bit of a sum does not rank; then by name, so that left and right are alike.
    return -round(each[0], 9), each[1].cause.code, each[1].side or ""


def _with_ties(ranked: list[Ranked], most: int, size: Callable[[Ranked], float]) -> list[Ranked]:
    """The first `most`, and what is as good as the last of them: a list never stops between left and right."""
    if len(ranked) <= most:
        return ranked
    last = round(size(ranked[most - 1]), 9)
    return [each for each in ranked if round(size(each), 9) >= last]
