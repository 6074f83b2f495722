"""Differences between hulls, as the store tells them: the margins of a population."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from tracegraph.analysis.matched.groups import PERIOD, PLANT
from tracegraph.stats.arrays import Ints


def differences(rows: Mapping[str, npt.NDArray[Any]]) -> dict[str, Ints]:
    """Code of every hull in each margin.

    Parameters
    ----------
    rows : mapping of str to array, shape (h,)
        ``model``, ``half_year``, ``dealer``, ``plant`` and ``follow_months`` of every hull,
        from ``matched/population``.

    Returns
    -------
    dict of str to array of int, shape (h,)
        ``model``, ``build period`` (half-year of building), ``dealer``; and ``plant`` where
        hulls of more than one are at risk. Codes count from 0, in order of the values.
    """
    found = {
        "model": codes(rows["model"]),
        PERIOD: codes(rows["half_year"]),
        "dealer": codes(rows["dealer"]),
    }
    at_risk = np.ma.getdata(rows["follow_months"]) >= 0
    if len(np.unique(np.ma.getdata(rows["plant"])[at_risk])) > 1:
        found[PLANT] = codes(rows["plant"])
    return found


def codes(values: npt.NDArray[Any]) -> Ints:
    """Number the distinct values from 0, in ascending order."""
    return np.unique(np.ma.getdata(values), return_inverse=True)[1].astype(np.int64)
