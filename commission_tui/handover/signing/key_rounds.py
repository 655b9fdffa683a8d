"""How much work a key file asks for, read before a passphrase is tried at it.

Rounds make a guess dear; a file that asks for thousands of millions of them would never be opened.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

MOST_ROUNDS = 10_000_000
"""Of all parts of a file together; a few seconds, and five times what is asked for today."""
_FAMILIAR = ("pkcs12_", "pbes1_", "pbes2", "pbkdf2")


def rounds_asked(content: bytes) -> int | None:
    """Return the rounds that a PKCS#12 file asks for in all; None when it cannot be told.

    RFC 7292, sections 4 and 4.2.2; RFC 8018, appendix A.2 to A.4.
    """
    from asn1crypto import pkcs12

    try:
        file = pkcs12.Pfx.load(content)
        rounds = 0
        if seal := file["mac_data"].native:
            rounds += int(seal["iterations"])
            if seal["mac"]["digest_algorithm"]["parameters"] is not None:
                return None
        for part in pkcs12.AuthenticatedSafe.load(file["auth_safe"]["content"].native):
            for algorithm in _algorithms(part):
                asked = _rounds(algorithm)
                if asked is None:
                    return None
                rounds += asked
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
    return rounds


def _algorithms(part: Any) -> Iterator[Mapping[str, Any]]:
    """Yield how each encrypted thing of a part is encrypted."""
    from asn1crypto import pkcs12

    if part["content_type"].native == "encrypted_data":
        yield part["content"]["encrypted_content_info"]["content_encryption_algorithm"].native
        return
    for bag in pkcs12.SafeContents.load(part["content"].native):
        if bag["bag_id"].native == "pkcs8_shrouded_key_bag":
            yield bag["bag_value"]["encryption_algorithm"].native


def _rounds(algorithm: Mapping[str, Any]) -> int | None:
    name, parameters = str(algorithm["algorithm"]), algorithm["parameters"]
    if not name.startswith(_FAMILIAR) or parameters is None:
        return None
    if name == "pbes2":
        return _rounds(parameters["key_derivation_func"])
    return int(parameters["iteration_count" if name == "pbkdf2" else "iterations"])
