"""A case file in words, tables, and on paper; what the records say on its way into a case."""

from tracegraph.report.casefile.paper import case_pdf
from tracegraph.report.casefile.view import CaseView, case_list, case_view
from tracegraph.report.casefile.web import case_html

__all__ = ["CaseView", "case_html", "case_list", "case_pdf", "case_view"]
