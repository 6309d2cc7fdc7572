"""How much a worker holds after so many requests of 200 shops with prices of their own, and after a thousand: MB."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from tests.bench.limit.in_process import LEAST_REQUESTS, SHOPS_OF_MEMORY, own_prices
from tests.bench.limit.questions import ADVICE
from tests.bench.limit.shop import opened


def main(many: int) -> None:
    with tempfile.TemporaryDirectory() as folder, opened(Path(folder)) as shop:
        keys = [shop.another(own_prices(nth))[1] for nth in range(SHOPS_OF_MEMORY)]
        held = {}
        for nth in range(1, many + 1):
            asked = ADVICE | {"age_years": 20 + nth % 60}
            shop.ask("POST", "/v1/size-advice", asked, keys[nth % SHOPS_OF_MEMORY])
            if nth in (LEAST_REQUESTS, many):
                held[nth] = _resident_mb()
        print(held[many], held[LEAST_REQUESTS])


def _resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


if __name__ == "__main__":
    main(int(sys.argv[1]))
