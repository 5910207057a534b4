"""Redoing a printed formula from its printed inputs, as a reader with a pocket calculator would."""

import math
import re

_REMARK = re.compile(r", (rounded up.*|rounded down.*|one round trip each|every pass filled.*)$")
_KNOWN = {"pi": math.pi, "ln": math.log, "max": max, "min": min}
_DUST = 1e-9


def redo(formula: str, inputs: dict[str, float]) -> float:
    """The value of a formula with each input put in for its name; every input must occur in it."""
    text = _REMARK.sub("", formula)
    for name in sorted(inputs, key=len, reverse=True):
        assert name in text, (name, formula)
        text = text.replace(name, f"({inputs[name]!r})")
    value: float = eval(text.replace(" x ", " * ").replace("^", "**"), {"__builtins__": {}}, _KNOWN)
    if "rounded down" in formula:
        return math.floor(value + _DUST)
    return math.ceil(value - _DUST) if "rounded up" in formula else value
