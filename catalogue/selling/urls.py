"""Addresses of selling."""

from django.urls import path

from catalogue.selling import outsider_views, sheet_views, support_views, views

PATTERN = "desk/<slug:slug>/selling"
SUPPORT = "studio/support"
PROMISE = "studio/promises/<int:pk>"

urlpatterns = [
    path(f"{PATTERN}/", views.selling, name="selling"),
    path(f"{PATTERN}/facts/", views.selling_facts, name="selling_facts"),
    path(f"{PATTERN}/<str:kind>/new/", views.selling_part_new, name="selling_part_new"),
    path(f"{PATTERN}/<str:kind>/<int:pk>/", views.selling_part, name="selling_part"),
    path(f"{PATTERN}/<str:kind>/<int:pk>/delete/", views.selling_part_delete, name="selling_part_delete"),
    path(f"{PATTERN}/shops/<int:pk>/check/", views.shop_check, name="shop_check"),
    path(f"{PATTERN}/dates/<int:pk>/done/", views.date_done, name="date_done"),
    path("desk/<slug:slug>/shooting-list/", sheet_views.shooting, name="shooting_list"),
    path("desk/<slug:slug>/promotion/", sheet_views.promotion, name="promotion"),
    path("desk/<slug:slug>/promotion/file/", sheet_views.promotion_file, name="promotion_file"),
    path("studio/dates/", views.studio_dates, name="studio_dates"),
    path(f"{SUPPORT}/", support_views.yarn_supports, name="yarn_supports"),
    path(f"{SUPPORT}-new/", support_views.yarn_support_new, name="yarn_support_new"),
    path(f"{SUPPORT}/<int:pk>/", support_views.yarn_support, name="yarn_support"),
    path(f"{SUPPORT}/<int:pk>/delete/", support_views.yarn_support_delete, name="yarn_support_delete"),
    path(f"{SUPPORT}/<int:pk>/erase/", support_views.giver_erase, name="giver_erase"),
    path(f"{SUPPORT}/<int:pk>/promises/", support_views.promise_add, name="promise_add"),
    path("studio/held/", outsider_views.held_by_address, name="held_by_address"),
    path("studio/held/erase/", outsider_views.held_erase, name="held_erase"),
    path(f"{PROMISE}/done/", support_views.promise_done, name="promise_done"),
    path(f"{PROMISE}/delete/", support_views.promise_delete, name="promise_delete"),
]
