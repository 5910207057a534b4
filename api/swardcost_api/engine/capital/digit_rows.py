"""A limit of large whole amounts, digit by digit, so that a solver in floating numbers keeps it to the unit.

Two amounts of many digits may differ by less than a solver tells apart. Written in digits of base 10,000 with a carry
from each to the next, as sums are added on paper, the same limit has small coefficients alone.
"""

import math
from collections.abc import Mapping

from swardcost_api.engine.capital.reserve_rows import Columns, Row, Rows

BASE = 10_000


def digit_rows(amounts: Mapping[int, int], most: int, chosen: int, columns: Columns) -> Rows:
    """Rows that keep the sum of amounts, zero or more, of variables that are 0 or 1 at or below `most`.

    ::

        d0 x - B c1 <= m0,   d1 x + c1 - B c2 <= m1,   ...,   dk x + ck <= mk

    with d and m the digits of amounts and limit in base B, the last of any size, and c whole carries. At most `chosen`
    of the variables are 1. Exact: what is above the limit in a digit has to be carried, and the last has no next.
    """
    rows: Rows = []
    rest, left = dict(amounts), most
    carried: Row = {}
    most_carried = 0
    while max(rest.values(), default=0) >= BASE:
        digits: Row = {n: float(amount % BASE) for n, amount in rest.items() if amount % BASE}
        rest = {n: amount // BASE for n, amount in rest.items()}
        left, digit = divmod(left, BASE)
        above = most_carried + chosen * int(max(digits.values(), default=0.0)) - digit
        most_carried = max(-(-above // BASE), 0)
        carry = columns.add(0.0, float(most_carried), 1)
        rows.append((digits | carried | {carry: -float(BASE)}, -math.inf, float(digit)))
        carried = {carry: 1.0}
    last: Row = {n: float(amount) for n, amount in rest.items() if amount}
    rows.append((last | carried, -math.inf, float(left)))
    return rows
