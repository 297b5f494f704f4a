"""Tables of orders: what they say, and one error for every slip."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Order
from hoistopt.base.errors import InputError
from tests.helpers.lines.small_line import small_line

pytestmark = [pytest.mark.quick, pytest.mark.usefixtures("in_folder")]


@pytest.mark.parametrize(
    "text",
    [
        "order,recipe,count,release,due,weight\nK7,=A,3,10,99.5,2.5\n,=A,,,,\n",
        "# of Monday\norder;Recipe;count;release;due;weight\nK7;'=A;3;10;99,5;2,5\n;=A;;;;\n",
    ],
)
def test_a_table_is_what_it_says(text: str) -> None:
    Path("orders.csv").write_text(text)
    assert hoistopt.read_orders("orders.csv", small_line(A="=A")) == (
        Order("=A", 3, F(10), F(199, 2), F(5, 2), "K7"),
        Order("=A"),
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ["a header row"]),
        ("recipe,count\n", ["at least one order"]),
        ("order,count\nK,1\n", ['a column "recipe"']),
        ("recipe,recipe\nA,A\n", ["each column once"]),
        ("recipe,cont\nA,5\n", ["header = cont", 'Did you mean "count"?']),
        ("recipe,count\n,1\n", ['row 2, column "recipe"', "empty"]),
        ("recipe\nB\n", ['row 2, column "recipe" = B', "name of a recipe"]),
        ("recipe,count\nA,0\n", ['row 2, column "count" = 0', "from 1"]),
        ("recipe,count\nA,1.5\n", ["whole number"]),
        ("recipe,count\nA,many\n", ["a number"]),
        ("recipe,count\nA,600\nA,600\n", ["at most 1000 loads in all"]),
        ("recipe,release\nA,-1\n", ['column "release" = -1', "at least 0"]),
        ("recipe,release,due\nA,50,40\n", ['column "due" = 40', "after its release, which is 50"]),
        ("recipe,release,due\nA,7654321.5,7654321\n", ['"due" = 7654321:', "which is 7654321.5"]),
        ("recipe,weight\nA,0\n", ['column "weight"', "above 0"]),
        ("recipe,weight\nA,0.0001\n", ["at most 3 decimals"]),
    ],
)
def test_every_slip_has_one_error_that_names_it(text: str, said: list[str]) -> None:
    Path("orders.csv").write_text(text)
    with pytest.raises(InputError) as raised:
        hoistopt.read_orders("orders.csv", small_line())
    for part in ["orders.csv: ", *said]:
        assert part in str(raised.value)
