"""Addresses of verdicts."""

from django.urls import path

from testing.verdicts import garment_views, results_views, views

DESK = "desk/<slug:slug>/calls"
CALL = f"{DESK}/<int:pk>"

urlpatterns = [
    path(f"{CALL}/garments/<int:result>/", garment_views.call_garment, name="call_garment"),
    path(f"{CALL}/results/", results_views.call_results, name="call_results"),
    path(f"{CALL}/results.pdf", results_views.call_report, name="call_report"),
    path(f"{CALL}/remarks/<int:remark>/erratum/", results_views.remark_erratum, name="remark_erratum"),
    path(f"{CALL}/remarks/<int:remark>/settle/", results_views.remark_settle, name="remark_settle"),
    path(f"{CALL}/remarks/<int:remark>/open/", results_views.remark_open, name="remark_open"),
    path(
        f"{CALL}/results/<int:result>/<slug:name>/erratum/",
        results_views.result_erratum,
        name="result_erratum",
    ),
    path(f"{CALL}/results/<int:result>/<slug:name>/right/", views.entry_right, name="entry_right"),
    path(f"{CALL}/results/<int:result>/<slug:name>/means/", views.entry_means, name="entry_means"),
    path(f"{CALL}/results/<int:result>/<slug:name>/open/", views.entry_open, name="entry_open"),
    path(f"{CALL}/verdicts/<slug:name>/erratum/", views.verdict_erratum, name="verdict_erratum"),
    path(f"{CALL}/verdicts/<slug:name>/mend/<slug:value>/", views.verdict_mend, name="verdict_mend"),
    path(f"{CALL}/verdicts/<slug:name>/mend/<slug:value>/apply/", views.verdict_apply, name="verdict_apply"),
    path("how-results-are-judged/", views.how_assessed, name="how_assessed"),
]
