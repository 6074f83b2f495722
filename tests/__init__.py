"""The checks, in the order of the package."""

import os

# Each worker of a run has a core to itself; to be said before numpy is imported.
for _setting in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "TRACEGRAPH_CORES"):
    os.environ.setdefault(_setting, "1")
