"""The part of the story in which the parts of the course are entered, by hand and from files."""

from decimal import Decimal
from typing import Any

from swardcost_model.assets import AssetChange, AssetKind, Life, NewAsset, StatedCost
from swardcost_model.values import Money

FILE = (
    "code,name,kind,in_use_since,cost\n"
    "PATH-1,Path of holes 1 to 9,asphalt_path,2015,84000.00\n"
    "BRIDGE-4,Bridge at hole 4,bridge,1998,45000.00\n"
)


def the_assets(client: Any, areas: list[Any]) -> None:
    """A pump station by hand, a path and a bridge from a file, and all of them out and in again."""
    assert any(one.life is None for one in client.assets.lives().items)
    fields: dict[str, Any] = {
        "code": "PUMP-1", "name": "Pump station", "kind": AssetKind.PUMP_STATION, "in_use_since": 2008,
        "replacement": StatedCost(by="stated", cost=Money(amount=Decimal("180000.00"), currency="USD")),
    }  # fmt: skip
    pump = client.assets.create(NewAsset(**fields))
    fields |= {
        "life": Life(low=Decimal(15), likely=Decimal(20), high=Decimal(25)),
        "area_ids": [areas[0].id],
    }
    pump = client.assets.change(pump.id, AssetChange(**fields), pump.version)
    spare = client.assets.create(NewAsset(code="SPARE", name="Spare", kind=AssetKind.OTHER))
    client.assets.delete(spare.id, spare.version)
    assert client.assets.read(pump.id) == pump
    assert client.assets.figures(pump.id, 2026).due_in == 2028
    assert client.assets.upload(FILE).added == 2
    assert [one.code for one in client.assets.list()] == ["BRIDGE-4", "PATH-1", "PUMP-1"]
    assert client.assets.upload(client.assets.export_csv()).unchanged == 3
    assert client.assets.upload_workbook(client.assets.export_workbook()).unchanged == 3
    assert len(client.assets.export().items) == 3
    register = client.assets.register(2026)
    assert (register.replacement_cost.amount, register.missing) == (Decimal("309000.00"), 1)
    assert client.assets.register_csv(2026).count("\r\n") == 4
    assert client.assets.register_workbook(2026).startswith(b"PK")
