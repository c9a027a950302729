"""Addresses of public."""

from django.urls import path

from catalogue.public import correction_views, holder_views, reading, views, your_size

urlpatterns = [
    path("files/photos/<str:name>", views.photo_file, name="photo_file"),
    path("patterns/", views.catalogue, name="catalogue"),
    path("patterns/<slug:slug>/", views.pattern_page, name="pattern_page"),
    path("patterns/<slug:slug>/needs/", views.needs, name="needs"),
    path("patterns/<slug:slug>/your-size.pdf", your_size.your_size, name="your_size"),
    path("patterns/<slug:slug>/read/", reading.read_your_size, name="read_your_size"),
    path("my-pdf/<str:key>/", holder_views.holder_pdf, name="holder_pdf"),
    path("my-pdf/<str:key>/your-size.pdf", holder_views.holder_pdf_file, name="holder_pdf_file"),
    path("my-pdf/<str:key>/read/", holder_views.holder_read, name="holder_read"),
    path("patterns/<slug:slug>/which/", views.which, name="which"),
    path("sitemap.xml", views.sitemap, name="sitemap"),
    path("robots.txt", views.robots, name="robots"),
    path(
        "patterns/<slug:slug>/<str:number>/corrections.pdf",
        correction_views.corrections_file,
        name="corrections_file",
    ),
    path("patterns/<slug:slug>/<str:number>/corrections/", correction_views.corrections, name="corrections"),
]
