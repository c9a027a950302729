"""Addresses of holders."""

from django.urls import path

from catalogue.holders import notice_views, pattern_views, pdf_link_views, subscription_views, views

NOTICE = "studio/notices/<int:pk>"

urlpatterns = [
    path("studio/holders/", views.holders, name="holders"),
    path("desk/<slug:slug>/holders/", pattern_views.pattern_holders, name="pattern_holders"),
    path("studio/holders-import/", views.holders_import, name="holders_import"),
    path("studio/holders-import/check/", views.holders_check, name="holders_check"),
    path("studio/holders-import/store/", views.holders_store, name="holders_store"),
    path("studio/holders/<int:pk>/erase/", views.holder_erase, name="holder_erase"),
    path("studio/holders/<int:pk>/right/", views.holder_right, name="holder_right"),
    path("studio/holders/<int:pk>/leave/", views.holder_leave, name="holder_leave"),
    path("studio/holders/<int:pk>/pdf/", pdf_link_views.holder_pdf_give, name="holder_pdf_give"),
    path(
        "studio/holders/<int:pk>/pdf/withdraw/",
        pdf_link_views.holder_pdf_withdraw,
        name="holder_pdf_withdraw",
    ),
    path("studio/returned-mails/", views.bounces, name="bounces"),
    path(f"{NOTICE}/", notice_views.notice, name="notice"),
    path(f"{NOTICE}/preview/", notice_views.notice_preview, name="notice_preview"),
    path(f"{NOTICE}/send/", notice_views.notice_send, name="notice_send"),
    path(f"{NOTICE}/newcomers/", notice_views.notice_newcomers, name="notice_newcomers"),
    path(f"{NOTICE}/resume/", notice_views.notice_resume, name="notice_resume"),
    path(f"{NOTICE}/end/", notice_views.notice_end, name="notice_end"),
    path(f"{NOTICE}/right/", notice_views.notice_right, name="notice_right"),
    path(f"{NOTICE}/join/", notice_views.notice_join, name="notice_join"),
    path(f"{NOTICE}/drop/", notice_views.notice_drop, name="notice_drop"),
    path("patterns/<slug:slug>/notices/", subscription_views.sign_up, name="sign_up"),
    path("patterns/<slug:slug>/notices/asked/", subscription_views.signed_up, name="signed_up"),
    path("patterns/<slug:slug>/my-pdf/", pdf_link_views.ask_pdf, name="ask_pdf"),
    path("patterns/<slug:slug>/my-pdf/asked/", pdf_link_views.asked_pdf, name="asked_pdf"),
    path("notices/<str:key>/confirm/", subscription_views.holder_confirm, name="holder_confirm"),
    path("notices/<str:key>/leave/", subscription_views.leave, name="unsubscribe"),
    path("notices/<str:key>/link/", subscription_views.holder_link, name="holder_link"),
    path("notices/<str:key>/erase/", subscription_views.holder_forget, name="holder_forget"),
]
