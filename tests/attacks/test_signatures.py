"""Every attack on who signed is named: exit status 1."""

from __future__ import annotations

import pytest

from commission_tui.handover.verify.verification import read_certificates, verify_content
from tests.attacks import signatures
from tests.attacks.book import Attack, attacks
from tests.attacks.signatures import Tried
from tests.handover.signing_help import key_made, signed_once, signed_twice


@pytest.mark.parametrize("attack", attacks(signatures), ids=lambda attack: attack.__name__)
def test_it_is_named(attack: Attack) -> None:
    tried: Tried = attack()
    trusted, books = read_certificates(tried.trusted), filter(None, [tried.database])
    found = verify_content(tried.content, "document", trusted, [*books])
    assert found.proof == "changed", found.said


def test_what_is_sound_holds_with_the_same_trust() -> None:
    one = read_certificates([key_made().certificate])
    assert verify_content(signed_once(), "document", one).proof == "proved"
    assert verify_content(signed_twice(), "document", one).proof == "changed"
    both = read_certificates([key_made().certificate, key_made("rsa").certificate])
    assert verify_content(signed_twice(), "document", both).proof == "proved"
