"""Append entries to a case from a process of its own: URL, case, name, how many."""

import sys

from tracegraph.cases import CaseStore

if __name__ == "__main__":
    url, case_no, who, many = sys.argv[1:]
    store = CaseStore(url)
    for number in range(int(many)):
        store.append(case_no, who, "noted", {"number": number})
        print(number, flush=True)
