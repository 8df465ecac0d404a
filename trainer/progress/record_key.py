"""The site's keys for readiness credentials: made when first needed, in files that only their owner may read.

Every key of the folder is published for checking; the newest signs. To change keys, put a new file there and leave the
old ones until the last credential they signed has expired. Neither database nor code ever holds one.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from joserfc.jwk import RSAKey

BITS = 2048
FIRST = "key-1.pem"


def keys_in(folder: Path) -> list[RSAKey]:
    """The keys of a folder, oldest name first; a first one is made in an empty folder."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not list(folder.glob("*.pem")):
        _make(folder / FIRST)
    return [RSAKey.import_key(path.read_bytes()) for path in sorted(folder.glob("*.pem"), key=_order)]


def signing_key(folder: Path) -> RSAKey:
    """The key that signs: the newest by its name."""
    return keys_in(folder)[-1]


def public_part(key: RSAKey, address: str) -> dict[str, Any]:
    """What may be published of a key, as a JSON Web Key whose id is the address where it is found."""
    return {**key.as_dict(private=False), "kid": address, "use": "sig", "alg": "RS256"}


def _make(path: Path) -> None:
    """Make a key, whole or not at all; of two who make it at once the first counts."""
    pem = RSAKey.generate_key(BITS).as_pem(private=True)
    draft = path.with_suffix(f".{os.getpid()}.part")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(pem)
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()


def _order(path: Path) -> tuple[int, str]:
    return len(path.stem), path.stem


__all__ = ["keys_in", "public_part", "signing_key"]
