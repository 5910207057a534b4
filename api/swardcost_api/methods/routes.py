"""HTTP operations that describe the methods of work and the units."""

from swardcost_model.methods import MethodDescription, MethodList, UnitList

from swardcost_api.methods import service
from swardcost_api.operations import Room

room = Room("Methods", "Methods of work: their parameters, measures, sources and cautions; and the units.")


@room.read("/v1/methods", "List the methods", needs=None)
def list_methods() -> MethodList:
    return service.list_methods()


@room.read("/v1/methods/{name}", "Describe a method", needs=None)
def read_method(name: str) -> MethodDescription:
    """Parameters as a JSON Schema, measures with units, sources, a worked example and cautions."""
    return service.describe(name)


@room.read("/v1/units", "List the units", needs=None)
def list_units() -> UnitList:
    return service.list_units()
