"""`ETag`, `If-Match` and `If-None-Match`: an edit names the version that it edits."""

import re

from swardcost_model import problems
from swardcost_model.problems import ProblemError

_ETAG = re.compile(r'"([1-9][0-9]{0,8})"')


def etag(version: int) -> str:
    """The entity tag of a version."""
    return f'"{version}"'


def version_in(if_match: str | None) -> int:
    """The version that an `If-Match` header names. Raises `if-match-required` or `stale-version`."""
    if if_match is None:
        raise ProblemError(problems.IF_MATCH_REQUIRED, "Send the ETag of the version you read in `If-Match`.")
    match = _ETAG.fullmatch(if_match.strip())
    if match is None:
        raise ProblemError(problems.STALE_VERSION, "`If-Match` holds no ETag that was given out here.")
    return int(match.group(1))


def is_unchanged(if_none_match: str | None, tag: str) -> bool:
    """Whether the caller already holds what has this tag."""
    return if_none_match is not None and tag in {one.strip() for one in if_none_match.split(",")}
