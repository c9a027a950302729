"""Addresses of results."""

from django.urls import path

from testing.results import (
    extra_views,
    making_views,
    note_views,
    own_photo_views,
    photo_views,
    remark_views,
    views,
)

DESK = "desk/<slug:slug>/calls"
MAKING = "making/<int:pk>"
CALL = f"{DESK}/<int:pk>"

urlpatterns = [
    path(f"{CALL}/photos/", photo_views.call_photos, name="call_photos"),
    path(f"{CALL}/photos/<int:photo>/<slug:use>/", photo_views.call_photo_file, name="call_photo_file"),
    path("testers/photos/<int:pk>/<int:width>.<slug:form>", photo_views.shared_photo, name="shared_photo"),
    path("making/", making_views.my_making, name="my_making"),
    path("making/photos/<int:pk>/<int:width>.<slug:form>", making_views.result_photo, name="result_photo"),
    path("making/worker.js", making_views.making_worker, name="making_worker"),
    path(f"{MAKING}/", making_views.making, name="making"),
    path(f"{MAKING}/dates/", making_views.making_calendar, name="making_calendar"),
    path(f"{MAKING}/time/", making_views.making_time, name="making_time"),
    path(f"{MAKING}/copy/", making_views.making_copy, name="test_copy"),
    path(f"{MAKING}/read/", making_views.making_read, name="making_read"),
    path(f"{MAKING}/version/", making_views.making_version, name="making_version"),
    path(f"{MAKING}/gauge/<slug:fabric>/", views.making_gauge, name="making_gauge"),
    path(f"{MAKING}/gauge/<slug:fabric>/confirm/", views.making_gauge_confirm, name="making_gauge_confirm"),
    path(f"{MAKING}/measure/<slug:name>/", views.making_measured, name="making_measured"),
    path(f"{MAKING}/measure/<slug:name>/confirm/", views.making_confirm, name="making_confirm"),
    path(f"{MAKING}/yarn/", views.making_yarn, name="making_yarn"),
    path(f"{MAKING}/hours/", views.making_hours, name="making_hours"),
    path(f"{MAKING}/note/", note_views.making_note, name="making_note"),
    path(f"{MAKING}/notes/<int:note>/", note_views.making_note_change, name="making_note_change"),
    path(f"{MAKING}/notes/<int:note>/delete/", note_views.making_note_delete, name="making_note_delete"),
    path(f"{MAKING}/photo/", own_photo_views.making_photo, name="making_photo"),
    path(
        f"{MAKING}/photo/pieces/<slug:key>/", own_photo_views.making_photo_pieces, name="making_photo_pieces"
    ),
    path(f"{MAKING}/photos/<int:photo>/", own_photo_views.making_photo_change, name="making_photo_change"),
    path(
        f"{MAKING}/photos/<int:photo>/delete/",
        own_photo_views.making_photo_delete,
        name="making_photo_delete",
    ),
    path(f"{MAKING}/remark/", remark_views.making_remark, name="making_remark"),
    path(f"{MAKING}/remarks/<int:remark>/", remark_views.making_remark_change, name="making_remark_change"),
    path(
        f"{MAKING}/remarks/<int:remark>/delete/",
        remark_views.making_remark_delete,
        name="making_remark_delete",
    ),
    path(f"{MAKING}/count/", views.making_counted, name="making_counted"),
    path(f"{MAKING}/more/", extra_views.making_more, name="making_more"),
    path(
        f"{MAKING}/more/gauge/<slug:fabric>/", extra_views.making_garment_gauge, name="making_garment_gauge"
    ),
    path(f"{MAKING}/more/counts/", extra_views.making_worked, name="making_worked"),
    path(f"{MAKING}/more/altered/", extra_views.making_altered, name="making_altered"),
    path(f"{MAKING}/more/options/", extra_views.making_options, name="making_options"),
    path(f"{MAKING}/more/own-yarn/", extra_views.making_metres, name="making_metres"),
    path(f"{MAKING}/more/fit/", extra_views.making_fit, name="making_fit"),
    path(f"{MAKING}/more/tool/", extra_views.making_tool, name="making_tool"),
    path(f"{MAKING}/more/photos/", extra_views.making_photo_uses, name="making_photo_uses"),
    path(f"{MAKING}/done/", making_views.making_done, name="making_done"),
    path(f"{MAKING}/not-done/", making_views.making_not_done, name="making_not_done"),
    path(f"{MAKING}/thanks/", making_views.making_thanks, name="making_thanks"),
    path(f"{MAKING}/return/", making_views.making_return, name="making_return"),
    path(f"{MAKING}/withdraw/", making_views.making_withdraw, name="making_withdraw"),
]
