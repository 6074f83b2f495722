"""How strong an unmeasured common cause would have to be to explain a ratio away."""

from __future__ import annotations

import math


def e_value(ratio: float) -> float:
    """Smallest ratio with both exposure and outcome that could explain an observed ratio.

    Parameters
    ----------
    ratio : float
        Rate or risk ratio of 1 or more, or the limit of its interval nearest to 1.

    Returns
    -------
    float
        At least 1.

    Raises
    ------
    ValueError
        If the ratio is below 1.

    References
    ----------
    .. [1] T. J. VanderWeele and P. Ding, Annals of Internal Medicine 167:268-274, 2017.

    Examples
    --------
    >>> round(e_value(1.0), 2), round(e_value(3.9), 2)
    (1.0, 7.26)
    """
    if not ratio >= 1.0:
        raise ValueError(f"the ratio must be 1 or more; got {ratio}")
    return ratio + math.sqrt(ratio * (ratio - 1.0)) if math.isfinite(ratio) else math.inf
