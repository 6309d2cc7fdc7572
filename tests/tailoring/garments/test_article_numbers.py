import pytest

from service.tailoring.garments.article_numbers import check_digit
from service.tailoring.garments.charts import chart, same_chart
from tests.tailoring.garments.rows import HEAD, PAIRS, faults_of, jacket, trousers

# 952 is the prefix that GS1 keeps for examples.
THIRTEEN, TWELVE, EIGHT = "9520000000011", "614141000036", "95200019"


def numbers(chart):
    return [(size.label, size.sku, size.gtin) for size in chart.sizes["jacket"]]


@pytest.mark.parametrize(
    # The first is GS1's own worked example; then numbers of every length, of prefixes kept for examples.
    ("digits", "check"),
    [
        ("629104150021", 3),
        ("952000000001", 1),
        ("61414100003", 6),
        ("9520001", 9),
        ("1952000000001", 8),
    ],
)
def test_the_check_digit_is_that_of_gs1s_rule(digits, check):
    assert check == check_digit(digits)


def test_a_size_has_the_numbers_that_its_row_gives():
    built = chart(HEAD, [jacket(sku=" SUIT-38R/NAVY ", gtin=THIRTEEN), jacket("40R", 40, gtin=""), jacket("42R", 42)])
    assert [("38R", "SUIT-38R/NAVY", THIRTEEN), ("40R", None, None), ("42R", None, None)] == numbers(built)
    assert ("SUIT-38R/NAVY", THIRTEEN) == (
        built.named(built.sizes["jacket"][0]).sku,
        built.named(built.sizes["jacket"][0]).gtin,
    )


def test_another_number_is_another_revision():
    plain, numbered = chart(HEAD, [jacket()]), chart(HEAD, [jacket(sku="A-1")])
    assert not same_chart(plain, numbered)


@pytest.mark.parametrize("gtin", [THIRTEEN, TWELVE, EIGHT, "0" + THIRTEEN])
def test_a_gtin_has_8_12_13_or_14_digits(gtin):
    assert gtin == chart(HEAD, [jacket(gtin=gtin)]).sizes["jacket"][0].gtin


@pytest.mark.parametrize(
    ("cells", "fault"),
    [
        (
            {"gtin": "9520000000012"},
            "row 1, gtin: the check digit of 9520000000012 is wrong: after 952000000001 it is 1",
        ),
        ({"gtin": "952"}, "row 1, gtin: '952' is not one: a GTIN has 8, 12, 13 or 14 digits and no other sign"),
        (
            {"gtin": "952-0000-00001-1"},
            "row 1, gtin: '952-0000-00001-1' is not one: a GTIN has 8, 12, 13 or 14 digits and no other sign",
        ),
        (
            {"gtin": "٩٥٢٠٠٠١٩"},
            "row 1, gtin: '٩٥٢٠٠٠١٩' is not one: a GTIN has 8, 12, 13 or 14 digits and no other sign",
        ),
        ({"gtin": "9.52E+12"}, "row 1, gtin: 9.52E+12 was shortened by a spreadsheet: keep the column as text"),
        ({"sku": "x" * 65}, "row 1, sku: up to 64 letters, digits and signs of one line are wanted"),
        ({"sku": "A\t1"}, "row 1, sku: up to 64 letters, digits and signs of one line are wanted"),
    ],
)
def test_what_is_no_number_is_said_in_words(cells, fault):
    assert (fault,) == faults_of(jacket(**cells))


def test_two_sizes_never_share_a_number():
    assert ("row 2, sku: A-1 is in row 1 already", "row 3, gtin: 09520000000011 is in row 1 already") == faults_of(
        jacket(sku="A-1", gtin=THIRTEEN), jacket("40R", 40, sku="A-1"), trousers(gtin="0" + THIRTEEN)
    )


def test_a_suit_that_is_sold_as_one_may_be_one_article():
    pair = [jacket(gtin=THIRTEEN, sku="S-38"), trousers(gtin=THIRTEEN, sku="S-38")]
    assert [("38R", "S-38", THIRTEEN)] == numbers(chart(PAIRS, pair))
    assert ("row 2, gtin: 9520000000011 is in row 1 already", "row 2, sku: S-38 is in row 1 already") == tuple(
        sorted(faults_of(*pair))
    )
