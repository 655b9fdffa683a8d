"""Whether half of a brightness setting is half of the light."""

from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed


@checked
def proportional_error_percent(
    setting_percent: Annotated[float, Range("%", above=0, most=100), "Of the brightness control"],
    luminance_cd_m2: Annotated[float, Range("cd/m²", least=0), "At that setting"],
    full_cd_m2: Annotated[float, Range("cd/m²", above=0), "At 100 %"],
) -> Annotated[float, Range("%"), "Relative to the light that a proportional control would give"]:
    """Return how far the light at a setting is from its share of full light.

    Notes
    -----
    100·(L / L_full / (setting / 100) - 1). A control that acts on the code instead of the light is
    off by (setting/100)^(exponent - 1): 50 % gives 22 % of the light at an exponent of 2.2. Common
    practice, no published source.

    Examples
    --------
    >>> round(proportional_error_percent(50.0, 600 * 0.5**2.2, 600.0))
    -56
    """
    share = computed("share of full light", luminance_cd_m2 / full_cd_m2, "")
    return computed("error", 100.0 * (share / setting_percent * 100.0 - 1.0), "%")
