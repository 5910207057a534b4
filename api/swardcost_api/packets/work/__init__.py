"""The work report: what was done, in plain words and without money."""
