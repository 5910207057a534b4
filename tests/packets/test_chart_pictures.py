"""Pictures of charts in the width of their reader."""

import re
from decimal import Decimal
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from packet_samples import sample
from swardcost_api.charts import vega_lite_of
from swardcost_api.packets.budget.drawings import BridgeBar, bridge
from swardcost_api.packets.document import Chart
from swardcost_api.packets.faces.chart_pictures import NARROW, PAPER, WIDE, picture

CAUSES = ("Planned", "Scope", "Timing", "Quantity", "Price", "Spending", "Coding", "Cost so far")


def a_bridge(bars: int) -> Chart:
    drawn = [
        BridgeBar(name, Decimal(60_000), Decimal(60_100), f"+${at},375.67")
        for at, name in enumerate(CAUSES[:bars])
    ]
    chart = bridge("From the plan to the cost", "USD", drawn, ("Plan", "More", "Less"))
    return Chart("bridge", "Bridge", vega_lite_of(chart), "A bridge.", sample(lines=5).charts[0].data)


def places(svg: str, mark: str) -> list[tuple[float, float]]:
    """Where texts stand that look like this, from the left and from above within the drawing."""
    found = []
    for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        if element.text and re.fullmatch(mark, element.text):
            place = re.match(r"translate\(([-0-9.]+),([-0-9.]+)\)", element.attrib["transform"])
            assert place, element.attrib
            found.append((float(place[1]), float(place[2])))
    return found


@pytest.mark.parametrize("width", [WIDE, PAPER, NARROW])
@pytest.mark.parametrize("bars", [3, 8])
def test_each_bar_of_a_bridge_has_a_line_of_its_own_with_its_amount_behind_it(bars: int, width: int) -> None:
    svg = picture(a_bridge(bars), width)
    names, amounts = places(svg, "|".join(CAUSES)), places(svg, r"\+\$.*")
    assert len(names) == len(amounts) == bars
    assert len({left for left, _ in names}) == 1
    assert min(later - one for one, later in pairwise(sorted(down for _, down in amounts))) > 14
    assert min(left for left, _ in amounts) > max(left for left, _ in names) + 100


def test_the_entries_of_a_legend_stand_below_each_other_on_a_phone() -> None:
    entries = places(picture(a_bridge(8), NARROW), "Plan|More|Less")
    assert len({left for left, _ in entries}) == 1
    assert len({place for place, _ in places(picture(a_bridge(8), WIDE), "Plan|More|Less")}) == 1
