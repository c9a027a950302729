"""Root addresses."""

from django.conf import settings
from django.urls import include, path

urlpatterns = [
    path("", include("catalogue.site.pages")),
    path("account/", include("catalogue.studio.account_urls")),
    path("", include("catalogue.urls")),
    path("", include("testing.urls")),
]
if settings.IS_DEMO:
    urlpatterns.append(path("", include("catalogue.site.demo_pages")))
handler400 = "catalogue.site.errors.bad_request"
handler403 = "catalogue.site.errors.permission_denied"
handler404 = "catalogue.site.errors.page_not_found"
handler500 = "catalogue.site.errors.server_error"
