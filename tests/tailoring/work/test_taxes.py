import pytest

from service.tailoring.refusals import Refusal
from service.tailoring.work.taxes import UNSAID, TaxPart, TaxRate, TaxTerms, taxes_of

CHARGED = [("standard", 1000), ("reduced", 500), ("standard", 230), ("none", 77)]
RATES = (TaxRate("standard", 2300), TaxRate("reduced", 1350))


def test_tax_is_summed_by_category_and_rounded_once():
    assert (TaxPart("standard", 23.0, 1230, 230), TaxPart("reduced", 13.5, 500, 59)) == taxes_of(
        TaxTerms(included=True, rates=RATES), CHARGED
    )
    assert [283, 68] == [part.tax_minor for part in taxes_of(TaxTerms(included=False, rates=RATES), CHARGED)]


def test_of_what_nobody_said_nothing_is_told():
    assert () == taxes_of(UNSAID, CHARGED)


@pytest.mark.parametrize("hundredths", [-1, 10001])
def test_a_rate_is_a_part_of_the_whole(hundredths):
    with pytest.raises(Refusal, match="tax_rate_wrong"):
        TaxRate("standard", hundredths)
