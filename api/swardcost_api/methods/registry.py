"""The built-in methods, found in `methods/builtin/`."""

import importlib
import pkgutil

from swardcost_api.methods import builtin
from swardcost_api.methods.frame import Method


def _discover() -> dict[str, Method]:
    found = {}
    for module in sorted(info.name for info in pkgutil.iter_modules(builtin.__path__)):
        method: Method = importlib.import_module(f"{builtin.__name__}.{module}").METHOD
        if method.name in found:
            raise RuntimeError(f"two built-in methods are named {method.name}")
        found[method.name] = method
    return found


METHODS: dict[str, Method] = _discover()
