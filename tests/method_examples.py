"""The worked examples of the built-in methods, worked out."""

import json
from typing import Any

from swardcost_api.methods.frame import Measure, Method
from swardcost_api.units import to_si
from swardcost_model.values import Quantity


def measured(method: Method, area_m2: float, **changed: Any) -> dict[str, Measure]:
    """Measures of the method's worked example with some parameters changed, as a scope item is read."""
    document = method.example.parameters | changed
    given_ones = {name: value for name, value in document.items() if value is not None}
    parameters = method.parameters.model_validate_json(json.dumps(given_ones), strict=True)
    return {measure.name: measure for measure in method.take_off(parameters, area_m2)}


def example_area(method: Method) -> float:
    """The area of the worked example, in square meters."""
    area = method.example.area
    return 0.0 if area is None else to_si(Quantity.model_validate(area), "area")
