"""The kinds of arrays that the engine counts in."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

Array: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
# Half the memory, where hundreds of bodies are counted and the hundredth of a penny does not matter.
SingleArray: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float32]]
Vector: TypeAlias = np.ndarray[tuple[int], np.dtype[np.float64]]
Matrix: TypeAlias = np.ndarray[tuple[int, int], np.dtype[np.float64]]
Indices: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
Mask: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
