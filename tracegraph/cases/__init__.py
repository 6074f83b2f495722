"""Case files: what was decided, on what evidence, and whether it worked."""

from tracegraph.cases.chain import ChainState, Entry
from tracegraph.cases.engine import default_cases_url
from tracegraph.cases.store import CaseStore, kept_case_files

__all__ = ["CaseStore", "ChainState", "Entry", "default_cases_url", "kept_case_files"]
