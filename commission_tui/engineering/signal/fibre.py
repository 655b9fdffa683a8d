"""Light through a fibre link: the loss that its parts may have."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, non_negative, whole

PAIR_DB, SPLICE_DB = 0.75, 0.3
"""Most that a mated pair and a splice may lose, ANSI/TIA-568.3 (from memory), [dB]."""
_MOST_PARTS = 1000


def fibre_loss_db(
    length_km: float,
    fibre_db_km: float,
    mated_pairs: int,
    splices: int,
    *,
    pair_db: float = PAIR_DB,
    splice_db: float = SPLICE_DB,
) -> float:
    """Return the loss that a fibre link is allowed by its parts.

    Parameters
    ----------
    length_km : float
        Of the fibre, 0 or more, [km].
    fibre_db_km : float
        Attenuation at the wavelength in use, 0 or more, [dB/km].
    mated_pairs, splices : int
        0 to 1000.
    pair_db, splice_db : float
        Most for each, 0 or more, [dB].

    Returns
    -------
    float
        [dB].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    fibre = non_negative("length_km", length_km, "km") * non_negative(
        "fibre_db_km", fibre_db_km, "dB/km"
    )
    pairs = whole("mated_pairs", mated_pairs, "", low=0, high=_MOST_PARTS)
    joints = whole("splices", splices, "", low=0, high=_MOST_PARTS)
    loss = fibre + pairs * non_negative("pair_db", pair_db, "dB")
    return computed("loss", loss + joints * non_negative("splice_db", splice_db, "dB"), "dB")
