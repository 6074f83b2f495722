"""Conditions of each operation: the station's series over work and cure, else what was written."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from tracegraph.domain.practice import CURE_HOURS, FRESH_MINUTES
from tracegraph.stats.psychrometrics import dew_point
from tracegraph.store import Connection


def work_out_conditions(
    connection: Connection, *, cure_hours: Mapping[str, float] = CURE_HOURS
) -> None:
    """Fill the temporary table ``conditions`` for the operations in ``work``.

    Parameters
    ----------
    connection : Connection
        Holds the temporary table ``work`` (columns of ``operation_index`` that reached a
        hull and a part). Receives ``conditions``: ``operation_no``, ``quantity``,
        ``unit``, ``mean``, ``low``, ``high``, with the dew-point margin among them, and
        the tables it is made from.
    cure_hours : mapping of str to float
        Hours after a step's end over which conditions count, by step.
    """
    _by_logger(connection, cure_hours)
    connection.run("exposure/conditions/02_conditions")
    air = connection.frame("exposure/conditions/03_air_and_surface")
    dew = dew_point(air["air_c"].to_numpy(), air["humidity_pct"].to_numpy())
    margins = pd.DataFrame(
        {
            "operation_no": air["operation_no"].to_numpy(),
            "quantity": "dew_point_margin",
            "unit": "degC",
            "mean": air["surface_c"].to_numpy() - dew,
        }
    )
    connection.register("margins", margins[np.isfinite(margins["mean"])])
    connection.execute("INSERT INTO conditions SELECT *, NULL, NULL FROM margins")
    connection.unregister("margins")


def logged_conditions(
    connection: Connection, *, cure_hours: Mapping[str, float] = CURE_HOURS
) -> pd.DataFrame:
    """What the loggers of the stations saw during the operations in ``work``.

    Parameters
    ----------
    connection : Connection
        Holds the temporary table ``work``, and no conditions yet.
    cure_hours : mapping of str to float
        Hours after a step's end over which conditions count, by step.

    Returns
    -------
    DataFrame
        ``operation_id``, ``quantity``, ``unit``, ``mean``, ``low``, ``high`` over work and
        cure. Work too short to hold a logged value has the last fresh one before it.
    """
    _by_logger(connection, cure_hours)
    return connection.frame("exposure/conditions/logged")


def _by_logger(connection: Connection, cure_hours: Mapping[str, float]) -> None:
    connection.register("cure_windows", cure_windows(cure_hours))
    connection.run("exposure/conditions/01_windows")
    connection.run("exposure/conditions/02_by_logger", {"fresh_minutes": FRESH_MINUTES})
    connection.unregister("cure_windows")


def cure_windows(cure_hours: Mapping[str, float]) -> pd.DataFrame:
    """Hours after a step's end over which conditions count: ``step``, ``hours``."""
    cure = pd.DataFrame({"step": list(cure_hours), "hours": list(cure_hours.values())})
    return cure.astype({"step": "str", "hours": "float64"})
