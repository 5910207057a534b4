"""`ETag`, `If-Match` and `If-None-Match`: an edit names the version that it edits.

A tag is the version and a digest of the body, because a body may show what other rows say. An edit is
held to the version alone.
"""

import hashlib
import re

from swardcost_model import problems
from swardcost_model.problems import ProblemError

_TAG = re.compile(r'(?:W/)?"([1-9][0-9]{0,8})(?:-[0-9a-f]+)?"')


def etag(version: int, body: bytes) -> str:
    """The entity tag of a body at a version."""
    return f'"{version}-{hashlib.blake2b(body, digest_size=6).hexdigest()}"'


def version_in(if_match: str | None) -> int:
    """The version that an `If-Match` header names. Raises `if-match-required` or `stale-version`.

    A tag that a proxy made weak is taken for the strong one, since it names the same version.
    """
    if if_match is None:
        raise ProblemError(problems.IF_MATCH_REQUIRED, "Send the ETag of the version you read in `If-Match`.")
    match = _TAG.fullmatch(if_match.strip())
    if match is None:
        raise ProblemError(problems.STALE_VERSION, "`If-Match` must hold one ETag that was given out here.")
    return int(match.group(1))


def is_unchanged(if_none_match: str | None, tag: str) -> bool:
    """Whether the caller already holds what has this tag (weak comparison, RFC 9110 section 13.1.2)."""
    if if_none_match is None:
        return False
    held = {one.strip().removeprefix("W/") for one in if_none_match.split(",")}
    return tag in held or "*" in held
