"""Years that follow each other, told as from one to another."""

from collections.abc import Iterable


def runs_of(years: Iterable[int]) -> list[list[int]]:
    """Years in rising order, those in a row together.

    Examples
    --------
    >>> runs_of([2027, 2028, 2029, 2032])
    [[2027, 2028, 2029], [2032]]
    """
    runs: list[list[int]] = []
    for year in years:
        if runs and year == runs[-1][-1] + 1:
            runs[-1].append(year)
        else:
            runs.append([year])
    return runs
