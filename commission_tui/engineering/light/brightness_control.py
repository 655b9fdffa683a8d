"""Whether half of a brightness setting is half of the light."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, finite, non_negative, positive

__all__ = ["proportional_error_percent"]


def proportional_error_percent(
    setting_percent: float, luminance_cd_m2: float, full_cd_m2: float
) -> float:
    """Return how far the light at a setting is from its share of full light.

    Parameters
    ----------
    setting_percent : float
        Of the brightness control, above 0, at most 100, [%].
    luminance_cd_m2 : float
        At that setting, 0 or more, [cd/m²].
    full_cd_m2 : float
        At 100 %, above 0, [cd/m²].

    Returns
    -------
    float
        Relative to the light that a proportional control would give, [%].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    100·(L / L_full / (setting / 100) - 1). A control that acts on the code instead of the light is
    off by (setting/100)^(exponent - 1): 50 % gives 22 % of the light at an exponent of 2.2.

    References
    ----------
    .. [1] Common practice, no published source.

    Examples
    --------
    >>> round(proportional_error_percent(50.0, 600 * 0.5**2.2, 600.0))
    -56
    """
    setting = finite("setting_percent", setting_percent, "%", low=0.0, high=100.0, low_open=True)
    level = non_negative("luminance_cd_m2", luminance_cd_m2, "cd/m²")
    full = positive("full_cd_m2", full_cd_m2, "cd/m²")
    share = computed("share of full light", level / full, "")
    return computed("error", 100.0 * (share / setting * 100.0 - 1.0), "%")
