"""Addresses for signing in: each one named, so that nothing else of the sign-in library can be reached.

Passwords and the second step are for designers and editors; the code by e-mail is for testers.
"""

from allauth.account import views as account
from allauth.mfa.base import views as mfa
from allauth.mfa.recovery_codes import views as recovery_codes
from allauth.mfa.totp import views as totp
from django.urls import path, re_path

from catalogue.studio.account_views import my_account, sign_out_elsewhere
from catalogue.studio.code_views import confirm_login_code, request_login_code, sign_in
from catalogue.studio.even_time import evenly_timed
from catalogue.studio.roles import desk_required

urlpatterns = [
    path("", my_account, name="my_account"),
    path("elsewhere/", sign_out_elsewhere, name="sign_out_elsewhere"),
    path("login/", sign_in, name="account_login"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("login/code/", evenly_timed(request_login_code), name="account_request_login_code"),
    path("login/code/confirm/", evenly_timed(confirm_login_code), name="account_confirm_login_code"),
    path("reauthenticate/", desk_required(account.reauthenticate), name="account_reauthenticate"),
    path("password/change/", desk_required(account.password_change), name="account_change_password"),
    path("password/set/", desk_required(account.password_set), name="account_set_password"),
    path("password/reset/", evenly_timed(account.password_reset), name="account_reset_password"),
    path("password/reset/done/", account.password_reset_done, name="account_reset_password_done"),
    path(
        "password/reset/key/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    re_path(
        r"^password/reset/key/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path("second-step/", desk_required(mfa.index), name="mfa_index"),
    path("second-step/code/", mfa.authenticate, name="mfa_authenticate"),
    path("second-step/again/", desk_required(mfa.reauthenticate), name="mfa_reauthenticate"),
    path("second-step/on/", desk_required(totp.activate_totp), name="mfa_activate_totp"),
    path("second-step/off/", desk_required(totp.deactivate_totp), name="mfa_deactivate_totp"),
    path(
        "second-step/spare-codes/",
        desk_required(recovery_codes.view_recovery_codes),
        name="mfa_view_recovery_codes",
    ),
    path(
        "second-step/spare-codes/new/",
        desk_required(recovery_codes.generate_recovery_codes),
        name="mfa_generate_recovery_codes",
    ),
    path(
        "second-step/spare-codes/file/",
        desk_required(recovery_codes.download_recovery_codes),
        name="mfa_download_recovery_codes",
    ),
]
