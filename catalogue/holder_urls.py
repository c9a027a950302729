"""Addresses of holders and notices; those of the holders themselves need no account."""

from django.urls import path

from catalogue.views import holders, notices, subscriptions

NOTICE = "studio/notices/<int:pk>"

urlpatterns = [
    path("studio/holders/", holders.holders, name="holders"),
    path("studio/holders-import/", holders.holders_import, name="holders_import"),
    path("studio/holders-import/check/", holders.holders_check, name="holders_check"),
    path("studio/holders-import/store/", holders.holders_store, name="holders_store"),
    path("studio/holders/<int:pk>/erase/", holders.holder_erase, name="holder_erase"),
    path("studio/holders/<int:pk>/right/", holders.holder_right, name="holder_right"),
    path("studio/holders/<int:pk>/leave/", holders.holder_leave, name="holder_leave"),
    path("studio/returned-mails/", holders.bounces, name="bounces"),
    path(f"{NOTICE}/", notices.notice, name="notice"),
    path(f"{NOTICE}/preview/", notices.notice_preview, name="notice_preview"),
    path(f"{NOTICE}/send/", notices.notice_send, name="notice_send"),
    path(f"{NOTICE}/newcomers/", notices.notice_newcomers, name="notice_newcomers"),
    path(f"{NOTICE}/resume/", notices.notice_resume, name="notice_resume"),
    path(f"{NOTICE}/end/", notices.notice_end, name="notice_end"),
    path(f"{NOTICE}/right/", notices.notice_right, name="notice_right"),
    path(f"{NOTICE}/drop/", notices.notice_drop, name="notice_drop"),
    path("patterns/<slug:slug>/notices/", subscriptions.sign_up, name="sign_up"),
    path("patterns/<slug:slug>/notices/asked/", subscriptions.signed_up, name="signed_up"),
    path("notices/<str:key>/confirm/", subscriptions.holder_confirm, name="holder_confirm"),
    path("notices/<str:key>/leave/", subscriptions.leave, name="unsubscribe"),
]
