"""What a look that is not taken yet is expected to tell: the mutual information of the look and what explains it."""

from __future__ import annotations

from typing import cast

import numpy as np

from service.tailoring.arrays import Array, Indices


def bits(chances: Array, shown: Array, counts: list[int]) -> list[float]:
    """In bits, what a look at each of several points tells of which set of causes is at work.

    `chances` [sets] add up to one. `shown` [sets, looks] is the chance that each look that is not right shows;
    the looks of one point are side by side, `counts` of them. What is not shown is right.
    """
    starts = np.cumsum([0, *counts[:-1]])
    right = np.exp(np.add.reduceat(np.log1p(-shown), starts, axis=1))
    wrong = shown * np.repeat((1 - right) / np.add.reduceat(shown, starts, axis=1), counts, axis=1)
    before = _entropy(chances @ right, chances @ wrong, starts)
    after = chances @ _entropy(right, wrong, starts)
    return cast("list[float]", np.maximum(before - after, 0.0).tolist())


def _entropy(right: Array, wrong: Array, starts: Indices) -> Array:
    """Of each point, in bits: it is `right` [..., points], or shows one of its looks in `wrong` [..., looks]."""
    return np.asarray(_surprise(right) + np.add.reduceat(_surprise(wrong), starts, axis=-1))


def _surprise(chances: Array) -> Array:
    return np.asarray(-chances * np.log2(np.maximum(chances, 1e-300)))
