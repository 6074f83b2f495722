"""A yard of the sample's size, built once for all tests that look into it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import pytest

from tracegraph.synthetic.build import Built, build_yard
from tracegraph.synthetic.causes import Planted
from tracegraph.synthetic.claims import make_claims
from tracegraph.synthetic.scenarios import SCENARIO_OF


@dataclass(frozen=True)
class Yard:
    built: Built
    planted: tuple[Planted, ...]
    claims: pd.DataFrame

    def of(self, symptom: str, role: str = "planted") -> Planted:
        return next(p for p in self.planted if (p.entry.symptom, p.entry.role) == (symptom, role))

    def affected(self, symptom: str):
        hulls = self.claims.loc[self.claims["symptom"] == symptom, "hull"]
        return self.built.among(hulls.to_numpy())


@pytest.fixture(scope="session")
def yard() -> Yard:
    sample = SCENARIO_OF["sample"]
    built = build_yard(1200, 1, cold_pump=True)
    planted = tuple(cause(built) for cause in sample.causes)
    return Yard(built, planted, make_claims(built, sample.symptoms(), planted))
