"""The one check command: style, types, layers, tests. Run it from the project's folder.

python tests/check.py           everything
python tests/check.py --quick   all but the browser tests
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent


def steps(quick: bool) -> list[tuple[str, list[str]]]:
    python = sys.executable
    tests = [python, "-m", "pytest", "-n", "auto", "-q"]
    if quick:
        tests += ["-m", "not browser"]
    return [
        ("style", [python, "-m", "ruff", "check", "."]),
        ("layout", [python, "-m", "ruff", "format", "--check", "."]),
        ("types", [python, "-m", "mypy"]),
        ("layers", [str(BIN / "lint-imports")]),
        ("tests", tests),
    ]


def main() -> int:
    quick = "--quick" in sys.argv[1:]
    failed = []
    for name, command in steps(quick):
        begin = time.monotonic()
        status = subprocess.call(command, cwd=ROOT)
        print(f"{name}: {'ok' if status == 0 else 'FAILED'} ({time.monotonic() - begin:.0f} s)\n")
        if status:
            failed.append(name)
    print("all checks passed" if not failed else f"failed: {', '.join(failed)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
