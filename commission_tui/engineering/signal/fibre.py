"""Light through a fibre link: the loss that its parts may have."""

from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

PAIR_DB, SPLICE_DB = 0.75, 0.3
"""Most that a mated pair and a splice may lose, ANSI/TIA-568.3 (from memory), [dB]."""


@checked
def fibre_loss_db(
    length_km: Annotated[float, Range("km", least=0), "Of the fibre"],
    fibre_db_km: Annotated[float, Range("dB/km", least=0), "Attenuation at the wavelength in use"],
    mated_pairs: Annotated[int, Range(least=0, most=1000)],
    splices: Annotated[int, Range(least=0, most=1000)],
    *,
    pair_db: Annotated[float, Range("dB", least=0), "Most for each"] = PAIR_DB,
    splice_db: Annotated[float, Range("dB", least=0), "Most for each"] = SPLICE_DB,
) -> Annotated[float, Range("dB")]:
    """Return the loss that a fibre link is allowed by its parts.

    Notes
    -----
    Loss adds up in decibels: length · attenuation + pairs · pair + splices · splice.

    References
    ----------
    .. [1] ANSI/TIA-568.3 for the loss of pairs and splices (from memory).

    Examples
    --------
    >>> round(fibre_loss_db(0.1, 3.5, 4, 2), 2)
    3.95
    """
    loss = length_km * fibre_db_km + mated_pairs * pair_db + splices * splice_db
    return computed("loss", loss, "dB")
