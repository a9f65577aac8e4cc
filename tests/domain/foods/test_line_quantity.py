"""Quantities of lines: unit, size, package and second measure, wherever in the line they stand.

The readings are the writer's judgement of plain English lines; the numbers are hand arithmetic.
"""

import pytest

from nutricost.domain.foods.amounts import Amount
from nutricost.domain.foods.line_quantity import Measure, measure_at, unit_at
from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.measures import UNITS, unit_of
from nutricost.domain.foods.tokens import scan


def _amount(amount: Amount) -> str:
    span = f"{amount.low.normalize():f}"
    span += f"-{amount.high.normalize():f}" if amount.high != amount.low else ""
    return span + ("~" if amount.approximate else "")


def _measure(measure: Measure | None, marks: str) -> list[str]:
    return [] if measure is None else [f"{marks[0]}{_amount(measure.amount)} {measure.unit.name}{marks[1]}"]


def told(text: str) -> str:
    """The quantity and the food: '2-3~ can (large) [14 oz] {2 lb}: tomato'; [] one package, {} the whole."""
    line = read_line(text)
    said = [] if line.amount is None else [_amount(line.amount)]
    said += [line.unit.name] if line.unit else []
    said += [f"({line.size})"] if line.size else []
    said += _measure(line.package, "[]") + _measure(line.total, "{}")
    return f"{' '.join(said)}: {' '.join(line.words)}"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # units
        ("8 fluid ounces milk", "8 fl oz: milk"),
        ("8 fl. oz. milk", "8 fl oz: milk"),
        ("8 fl carrots", "8: fl carrot"),
        ("2 lb. carrots", "2 lb: carrot"),
        ("2 # carrots", "2 lb: carrot"),
        ("6 oz", "6 oz:"),
        ("2 c", "2 cup:"),
        ("1 t", "1 tsp:"),
        ("3 TBSP honey", "3 tbsp: honey"),
        ("2 POUNDS carrots", "2 lb: carrot"),
        ("2 cm ginger", "2 cm: ginger"),
        ("2 cm", "2: cm"),
        ("2-inch piece of ginger", "2 inch: ginger"),
        ("2 inch can rings", "2 inch: can ring"),
        ("6-inch flour tortillas", "6 inch: flour tortilla"),
        # a word is a count only where a food follows
        ("2 sticks of celery", "2 stick: celery"),
        ("3 cloves", "3: clove"),
        ("2 cloves, minced", "2: clove"),
        ("2 leaves chopped", "2: leaf chopped"),
        ("2 leaves chopped basil", "2 leaf: chopped basil"),
        ("1 can", "1 can:"),
        ("1 can, drained", "1 can: drained"),
        ("2 ribs celery", "2 rib: celery"),
        ("1 rib roast", "1: rib roast"),
        ("1 rib eye", "1: ribeye"),
        ("2 rib steaks", "2: rib steak"),
        # sizes and how a measure is filled
        ("2 large eggs", "2 (large): egg"),
        ("2 lg. eggs", "2 (large): egg"),
        ("2 large-heads garlic", "2 head (large): garlic"),
        ("1 medium-sized onion", "1 (medium): onion"),
        ("1 large small onion", "1 (large): onion"),
        ("2 thick slices bread", "2 slice (thick): bread"),
        ("2 thick carrots", "2: thick carrot"),
        ("2 thin carrots", "2: thin carrot"),
        ("2 baby carrots", "2: baby carrot"),
        ("2 heaped tbsp flour", "2 tbsp: flour"),
        ("3 good-sized potatoes", "3: potato"),
        # one of a measure without a number
        ("pinch of salt", "1~ pinch: salt"),
        ("cup of honey", "1~ cup: honey"),
        ("generous handful of basil", "1~ handful: basil"),
        ("small handful of basil", "1~ handful: basil"),
        ("thumb-sized piece of ginger", "1~ piece: ginger"),
        ("handful basil", ": handful basil"),
        ("oz of honey", ": oz of honey"),
        ("T of honey", ": t of honey"),
        # what follows a unit
        ("1 cup/240 ml milk", "1 cup: milk"),
        ("1 lb/450 g beef", "1 lb: beef"),
        ("1 cup / milk", "1 cup: milk"),
        ("1 lb plus 4 oz beef", "1.25 lb: beef"),
        ("1 cup and 2 tbsp milk", "1.125 cup: milk"),
        ("2 cups & 2 tbsp milk", "2.125 cup: milk"),
        ("1-2 quarts plus 1-2 cups milk", "1.25-2.5 quart: milk"),
        ("about 1 quart plus 1 cup milk", "1.25~ quart: milk"),
        ("2 kg plus 500 g beef", "2.5 kg: beef"),
        ("2 cups and salt", "2 cup: salt"),
        # Two units of one system are one amount. Was: the smaller one fell among the words of the food,
        # and '1 lb 4 oz' weighed a pound. 16 oz a lb, 16 tbsp a cup (NIST Handbook 44, appendix C).
        ("1 lb 4 oz beef", "1.25 lb: beef"),
        ("2 lbs. 8 oz. chicken", "2.5 lb: chicken"),
        ("1 pound 4-8 ounces beef", "1.25-1.5 lb: beef"),
        ("about 1 lb 4 oz beef", "1.25~ lb: beef"),
        ("1 kg 200 g beans", "1.2 kg: bean"),
        ("1 cup 2 tbsp flour", "1.125 cup: flour"),
        ("1 gallon plus 1 quart 1 pint milk", "1.375 gallon: milk"),
        ("1 lb 12 oz can tomatoes", "1 can [1.75 lb]: tomato"),
        ("2 cans (1 lb 4 oz each) beans", "2 can [1.25 lb]: bean"),
        ("7 lb 8 oz", "7.5 lb:"),
        # The same amount said twice is one: of another system, after a fraction, or as large as the first.
        ("1 cup 225 ml milk", "1 cup: 225 ml milk"),
        ("1/2 lb 8 oz beef", "0.5 lb: 8 oz beef"),
        ("1 lb 16 oz beef", "1 lb: 16 oz beef"),
        ("1 lb 2 cups beans", "1 lb: 2 cup bean"),
        ("2 lb heaping bag peas", "1 bag [2 lb]: pea"),
        ("14-oz-can beans", "1 can [14 oz]: bean"),
        ("2-3 lb bag peas", "1 bag [2-3 lb]: pea"),
        ("2 lb clove garlic", "2 lb: clove garlic"),
        # packages
        ("2 x 400 g tins tomatoes", "2 can [400 g]: tomato"),
        ("2 @ 14 oz cans beans", "2 can [14 oz]: bean"),
        ("2 14.5 oz. cans tomatoes", "2 can [14.5 oz]: tomato"),
        ("2 1 lb 8 oz cans beans", "2 can [1.5 lb]: bean"),
        ("2 - 14 oz cans beans", "1 can [2-14 oz]: bean"),
        ("3 2 inch carrots", "3: 2 inch carrot"),
        # brackets
        ("2 (about 14 oz) cans beans", "2 can [14~ oz]: bean"),
        ("1 (2 lb) chicken", "1 [2 lb]: chicken"),
        ("1 (14 oz) large can beans", "1 can (large) [14 oz]: bean"),
        ("4 chicken thighs (about 6 oz each)", "4 [6~ oz]: chicken thigh"),
        ("4 chicken thighs (6 oz apiece)", "4 [6 oz]: chicken thigh"),
        ("4 chicken thighs (1.5 lb total)", "4 {1.5 lb}: chicken thigh"),
        ("4 chicken thighs (1.5 lb) (2 cups)", "4 {1.5 lb}: chicken thigh"),
        ("1 (15 oz) can (1.5 cups) beans", "1 can [15 oz]: bean"),
        ("1 cup (120 g) flour", "1 cup {120 g}: flour"),
        ("1 cup (240 ml) milk", "1 cup: milk"),
        ("1 lb (450 g) beef", "1 lb: beef"),
        ("2 heads (1 lb) garlic", "2 head {1 lb}: garlic"),
        ("2 onions (1 cup chopped)", "2 {1 cup}: onion"),
        ("1 tortilla (10 inch)", "1: tortilla"),
        ('1 tortilla (10")', "1: tortilla"),
        ("[2 cans] beans", ": bean"),
        ("(2 cups sugar)", "2 cup: sugar"),
        # elsewhere in the line
        ("flour, 2 cups", "2 cup: flour"),
        ("flour, sifted, 2 cups", "2 cup: flour"),
        ("eggs, 3", "3: egg"),
        ("eggs, 3 beaten", ": egg"),
        ("carrots, 1 inch thick, 2 cups", "2 cup: carrot"),
        ("carrots 2 cm thick", ": carrot 2 cm thick"),
        ("chicken breast 2", "2: chicken breast"),
        ("chicken breast 2 small", "2 (small): chicken breast"),
        ("milk 2% 1 cup", "1 cup: milk 2"),
        ("1 duck breast, 8 oz", "1 {8 oz}: duck breast"),
        ("1 chicken, about 4 lb, cut up", "1 {4~ lb}: chicken"),
        ("1 chicken, cut up, 4 lb", "1 {4 lb}: chicken"),
        ("1 onion, 1 cup", "1: onion"),
        ("2 cups milk, 3 oz", "2 cup: milk"),
    ],
)
def test_quantity_and_food(text: str, expected: str) -> None:
    assert told(text) == expected.replace(":", ": ").replace("  ", " ")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2 extra-large eggs", "2 (extra large): egg"),
        ("2 extra large eggs", "2 (extra large): egg"),
        ("2 x carrots", "2: carrot"),
        ("1 imperial pint milk", "1 pint: milk"),
        ("1 UK pint milk", "1 pint: milk"),
        ('2" piece of ginger', "2 inch: ginger"),
        ("2″ ginger", "2 inch: ginger"),
        ("4 duck breasts, 8 oz each", "4 [8 oz]: duck breast"),
        ("4 duck breasts, scored, 8 oz apiece", "4 [8 oz]: duck breast"),
        ("1 can black beans, 15 oz, drained", "1 can [15 oz]: black bean"),
        ("2 cans coconut milk, 400 ml each", "2 can [400 ml]: coconut milk"),
    ],
)
def test_these_were_misread(text: str, expected: str) -> None:
    assert told(text) == expected


def test_extra_is_a_size_only_before_large() -> None:
    assert told("2 extra lean chops") == "2: extra lean chop"


def test_a_percentage_is_no_amount() -> None:
    assert told("2% milk") == ": 2 milk"
    assert told("85 % lean beef") == ": 85 lean beef"


def test_a_measure_is_a_weight_or_a_volume() -> None:
    for text in ("2 heads", "2 cans", "2 inch", "2 figs", "lb", ""):
        assert measure_at(scan(text), 0) is None
    found = measure_at(scan("14.75-oz. can"), 0)
    assert found is not None and found[0].unit.name == "oz" and found[1] == 4
    assert unit_at(scan("2 lb"), 0) is None


@pytest.mark.parametrize(
    ("raw", "name"), [("T", "tbsp"), ("Tb", "tbsp"), ("Tbs", "tbsp"), ("t", "tsp"), ("LB", "lb")]
)
def test_case_tells_spoons_apart(raw: str, name: str) -> None:
    unit = unit_of(raw)
    assert unit is not None and unit is UNITS[name] and unit_of("snoozle") is None
