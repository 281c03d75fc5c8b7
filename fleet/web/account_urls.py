"""The few pages of the sign-in library that this house opens.

Accounts are made by a manager, so nothing here makes one, mails one or resets one.
"""

from allauth.account import views
from django.urls import path

from fleet.web.accounts import SignIn

urlpatterns = [
    path("login/", SignIn.as_view(), name="account_login"),
    path("logout/", views.logout, name="account_logout"),
    path("inactive/", views.account_inactive, name="account_inactive"),
    path("signup/", views.signup, name="account_signup"),
    path("reauthenticate/", views.reauthenticate, name="account_reauthenticate"),
    path("password/change/", views.password_change, name="account_change_password"),
]
