"""The words with which a tablet is enrolled and people come and go."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

PEOPLE_WORDS: dict[str, Promise] = {
    # Enrolment, people, PIN
    "enrol.title": _("Make this a tablet of your yard"),
    "enrol.text": _("A manager makes a code under Tablets. It works once, within half an hour."),
    "enrol.code": _("Code"),
    "enrol.code_hint": _("10 letters and digits; spaces do not matter."),
    "enrol.code_length": _(
        "The code has %(count)s letters and digits. Type it as the manager reads it out."
    ),
    "enrol.send": _("Enroll this tablet"),
    "enrol.refused": _("This code does not work. Ask a manager for a new one."),
    "enrol.already": _("This tablet is enrolled"),
    "enrol.not_secure": _(
        "This address is not secure, so the page cannot work without a network here. Open it "
        "by its https address."
    ),
    "people.choose": _("Who is at the tablet?"),
    "people.none": _("Nobody has signed in here yet"),
    "people.tablet": _("%(tablet)s, %(yard)s"),
    "people.new": _("Somebody else"),
    "people.other": _("Somebody else is here"),
    "people.again": _("Sign in with name and password"),
    "sign_in.title": _("First time on this tablet"),
    "sign_in.text": _(
        "Sign in once with your name and password. It needs a network. After that your PIN is"
        " enough."
    ),
    "sign_in.name": _("Sign-in name"),
    "sign_in.password": _("Password"),
    "sign_in.send": _("Sign in"),
    "sign_in.refused": _(
        "Name or password is not right, or this person does not inspect at this yard."
    ),
    "pin.of": _("PIN of %(name)s"),
    "pin.none": _("No digit yet"),
    "pin.digits.one": _("%(count)s digit"),
    "pin.digits.many": _("%(count)s digits"),
    "pin.short.one": _("A PIN has at least %(count)s digit."),
    "pin.short.many": _("A PIN has at least %(count)s digits."),
    "pin.back": pgettext_lazy("a key that takes the last digit back", "Back"),
    "pin.open": pgettext_lazy("a key that unlocks the tablet", "Open"),
    "pin.next": _("Next"),
    "pin.sign": _("Sign"),
    "pin.sign_as": _("%(name)s signs"),
    "pin.wait": _("Wait"),
    "pin.choose": _("Choose a PIN"),
    "pin.choose_text": _(
        "At least %(count)s digits. You sign with it; nobody else should know it."
    ),
    "pin.again": _("The same PIN once more"),
    "pin.again_text": _("So that no slip of a finger locks you out."),
    "pin.common": _("Anybody would try that first. Choose digits that are less plain."),
    "pin.differ": _("The two were not the same. Choose a PIN again."),
    "pin.worth": _(
        "The PIN is kept nowhere. After five wrong tries you sign in with name and password "
        "again. A lost tablet has to be revoked by a manager at once."
    ),
    "pin.wrong.one": _("That is not the PIN. %(count)s try is left."),
    "pin.wrong.many": _("That is not the PIN. %(count)s tries are left."),
    "pin.gone": _(
        "%(tries)s wrong PINs: the keys of this person are gone from the tablet. Sign in with"
        " name and password. What was recorded is still here."
    ),
}
