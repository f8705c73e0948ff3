"""Which requests are answered: those that call this server by its own name, from no page of others, and say its token."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from urllib.parse import parse_qs

HERE = "127.0.0.1"
SOCKET = "/language"


def refusal(method: str, headers: Mapping[str, str], port: int, wants_origin: bool = False) -> str | None:
    """Why a request is not answered, in a sentence; None where it is.  Names of headers in small letters."""
    hosts = (f"{HERE}:{port}", f"localhost:{port}")
    if headers.get("host") not in hosts:
        return "This server answers to its own name alone."
    own = f"http://{headers['host']}"
    if headers.get("origin", own if not wants_origin else "") != own:
        return "This server does not answer pages of others."
    if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
        return "This server does not answer pages of others."
    if method not in ("GET", "HEAD"):
        return "Nothing is sent to this server."
    return None


def opens(query: bytes, token: str) -> bool:
    """Whether the query of an address says the token."""
    given = parse_qs(query.decode("latin-1")).get("token", [""])[0]
    return secrets.compare_digest(given.encode(), token.encode())
