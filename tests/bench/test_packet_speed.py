"""A long packet in time and memory."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

PAGES, SECONDS, MEGABYTES = 60, 3.0, 300
_PROGRAM = """
import io, json, sys, time
from memory import resident
from packet_samples import sample
from swardcost_api.packets.faces.{face}_face import {face}_of as face
document = sample(lines=150, explained={explained})
began = time.process_time()
made = face(document)
seconds = time.process_time() - began
memory = resident("VmHWM") / 2**20
pages = 0
if "{face}" == "pdf":
    import pypdf
    pages = len(pypdf.PdfReader(io.BytesIO(made)).pages)
print(json.dumps([seconds, memory, pages]))
"""


@pytest.mark.bench
@pytest.mark.parametrize("face", ["html", "pdf", "xlsx", "csv", "json"])
def test_a_packet_of_sixty_pages_takes_three_seconds_and_three_hundred_megabytes(face: str) -> None:
    """In a process of its own, so that what was loaded before counts for nothing and all that it loads counts.

    The peak is asked of /proc: that of getrusage holds what the process that started this one had in memory.
    """
    here = Path(__file__).parent
    places = [str(here), str(here.parent / "packets")]
    program = f"import sys; sys.path[:0] = {places!r}\n" + _PROGRAM.format(face=face, explained=500)
    out = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True).stdout
    seconds, memory, pages = json.loads(out)
    print(f"\n{face}: {seconds:.2f} s, {memory:.0f} MB, {pages} pages")
    assert seconds < SECONDS
    assert memory < MEGABYTES
    if face == "pdf":
        assert pages >= PAGES
