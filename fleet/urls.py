"""Every address of the site: pages, the API, and the signs of life."""

from django.urls import include, path

urlpatterns = [
    path("", include("fleet.web.urls")),
    path("api/", include("api.urls")),
    path("accounts/", include("fleet.web.account_urls")),
]
