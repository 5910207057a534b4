"""Writes the blocking client from the asynchronous one: `make sdk`; a test checks that it is fresh."""

import re
import sys
from pathlib import Path

import unasync

SDK = Path(__file__).parents[2] / "sdk" / "swardcost"
_WORDS = {
    "wait_async": "wait_sync",
    "aclose": "close",
    "AsyncIterator": "Iterator",
    "AsyncBaseTransport": "BaseTransport",
    "_async": "_sync",
}


def write_blocking_client(target: Path) -> None:
    """Write the blocking client into `target`, which is made if need be."""
    target.mkdir(parents=True, exist_ok=True)
    classes = {
        name: name.removeprefix("Async")
        for source in (SDK / "_async").glob("*.py")
        for name in re.findall(r"\bAsync[A-Z]\w*", source.read_text(encoding="utf-8"))
    }
    rule = unasync.Rule(str(SDK / "_async"), str(target), additional_replacements={**classes, **_WORDS})
    unasync.unasync_files([str(path) for path in sorted((SDK / "_async").glob("*.py"))], [rule])
    for path in target.glob("*.py"):
        text = path.read_text(encoding="utf-8")
        text = text.replace("Asynchronous", "Blocking").replace(
            "swardcost import AsyncClient", "swardcost import Client"
        )
        text = text.replace("= AsyncClient(", "= Client(")
        path.write_text(text, encoding="utf-8")
    (target / "__init__.py").write_text(
        '"""The blocking client, written by `make sdk` from `swardcost._async`; do not edit it here."""\n',
        encoding="utf-8",
    )


if __name__ == "__main__":
    write_blocking_client(SDK / "_sync")
    print("wrote", SDK / "_sync", file=sys.stderr)
