"""The wall chart that the bench of practice holds the service against."""

import pytest

from service.tailoring.quantities import inches
from tests.bench.practice import wall_chart


@pytest.mark.parametrize(
    ("chest", "waist", "height", "jacket", "paired", "by_waist"),
    [(40, 37, 70, "40R", "34", "37"), (40.9, 33, 66, "40S", "34", "33"), (41.2, 38, 73, "42L", "36", "38")],
)
def test_it_is_the_nearest_chest_the_length_by_height_and_six_inches_less(
    chest, waist, height, jacket, paired, by_waist
):
    # Six inches of drop, shorts to 5 ft 7, longs from 5 ft 11 1/2: common practice, no source.
    read_mm = {"chest_girth": inches(chest), "trouser_waist_girth": inches(waist), "stature": inches(height)}
    assert {"jacket": jacket, "trousers": paired} == wall_chart(read_mm, waist_taped=False)
    assert {"jacket": jacket, "trousers": by_waist} == wall_chart(read_mm, waist_taped=True)
