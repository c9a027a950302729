"""Addresses of the test calls."""

from django.urls import path

from testing.views import calls, entries, making, offers, places, privacy, public, results

DESK = "desk/<slug:slug>/calls"
CALL = f"{DESK}/<int:pk>"
MAKING = "making/<int:pk>"

urlpatterns = [
    path(f"{DESK}/", calls.calls, name="calls"),
    path(f"{DESK}/new/", calls.call_new, name="call_new"),
    path(f"{CALL}/", calls.call, name="call"),
    path(f"{CALL}/open/", calls.call_open, name="call_open"),
    path(f"{CALL}/close/", calls.call_close, name="call_close"),
    path(f"{CALL}/dates/", calls.call_extend, name="call_extend"),
    path(f"{CALL}/version/<str:number>/", calls.call_version, name="call_version"),
    path(f"{CALL}/applications/<int:application>/place/", places.place_give, name="place_give"),
    path(f"{CALL}/applications/<int:application>/wait/", places.place_waiting, name="place_waiting"),
    path(f"{CALL}/places/<int:placement>/replace/", places.place_replace, name="place_replace"),
    path(f"{CALL}/places/<int:placement>/time/", places.place_more_time, name="place_more_time"),
    path(f"{CALL}/places/<int:placement>/given/", places.place_given, name="place_given"),
    path(f"{CALL}/results/", results.call_results, name="call_results"),
    path(f"{CALL}/remarks/<int:remark>/erratum/", results.remark_erratum, name="remark_erratum"),
    path(f"{CALL}/results/<int:result>/<slug:name>/erratum/", results.result_erratum, name="result_erratum"),
    path("calls/", public.call_list, name="call_list"),
    path("calls/<slug:slug>/", public.call_page, name="call_page"),
    path("calls/<slug:slug>/apply/", public.apply, name="apply"),
    path("calls/<slug:slug>/applied/", public.applied, name="applied"),
    path("applications/<str:key>/", public.application, name="application"),
    path("applications/<str:key>/erase/", public.application_erase, name="application_erase"),
    path("offers/<str:key>/", offers.offer, name="offer"),
    path("offers/<str:key>/accept/", offers.offer_accept, name="offer_accept"),
    path("offers/<str:key>/decline/", offers.offer_decline, name="offer_decline"),
    path("making/", making.my_making, name="my_making"),
    path("making/data/", privacy.my_data, name="my_data"),
    path("making/data/file/", privacy.my_data_file, name="my_data_file"),
    path("making/data/erase/", privacy.my_data_erase, name="my_data_erase"),
    path("making/units/", privacy.my_units, name="my_units"),
    path("making/photos/<int:pk>/<int:width>.<slug:form>", making.result_photo, name="result_photo"),
    path(f"{MAKING}/", making.making, name="making"),
    path(f"{MAKING}/copy/", making.making_copy, name="test_copy"),
    path(f"{MAKING}/version/", making.making_version, name="making_version"),
    path(f"{MAKING}/gauge/<slug:fabric>/", entries.making_gauge, name="making_gauge"),
    path(f"{MAKING}/measure/<slug:name>/", entries.making_measured, name="making_measured"),
    path(f"{MAKING}/measure/<slug:name>/confirm/", entries.making_confirm, name="making_confirm"),
    path(f"{MAKING}/yarn/", entries.making_yarn, name="making_yarn"),
    path(f"{MAKING}/hours/", entries.making_hours, name="making_hours"),
    path(f"{MAKING}/note/", entries.making_note, name="making_note"),
    path(f"{MAKING}/photo/", entries.making_photo, name="making_photo"),
    path(f"{MAKING}/remark/", entries.making_remark, name="making_remark"),
    path(f"{MAKING}/done/", making.making_done, name="making_done"),
    path(f"{MAKING}/thanks/", making.making_thanks, name="making_thanks"),
    path(f"{MAKING}/withdraw/", making.making_withdraw, name="making_withdraw"),
]
