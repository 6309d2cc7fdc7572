import pytest

from service.tailoring.garments.charts import SIZED_BY, Chart, reference_chart, reference_charts
from service.tailoring.garments.drops import drop_of, in_drop, reference_drops
from service.tailoring.quantities import inches


def test_the_reference_blocks_have_four_drops():
    assert (6, 4, 8, 1) == pytest.approx([mm / inches(1) for mm in reference_drops()])


@pytest.mark.parametrize("code", ["reference_full", "reference_athletic", "reference_portly"])
def test_the_reference_block_in_another_drop_is_that_block(code):
    # The blocks' seats and thighs are rounded to an eighth of an inch.
    block = reference_charts()[code]
    moved = in_drop(reference_chart(), drop_of(block))
    for garment in SIZED_BY:
        for one, other in zip(block.sizes[garment], moved.sizes[garment], strict=True):
            assert dict(one.measures) == pytest.approx(dict(other.measures), abs=inches(0.125))


def test_pairs_have_the_drop_that_they_say_and_no_jacket_has_none():
    pairs = Chart("p", "Pairs", "in", "pairs", reference_chart().sizes, drop_mm=inches(7))
    assert inches(7) == drop_of(pairs)
    assert inches(4) == in_drop(pairs, inches(4)).drop_mm
    assert drop_of(Chart("t", "Trousers", "in", "separates", {"jacket": (), "trousers": (), "waistcoat": ()})) is None
