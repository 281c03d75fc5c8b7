"""Addresses that need no sign-in of a person, each with the reason."""

OPEN = {
    "bay": "the tablet page, an empty shell: what it shows comes by the tablet's token",
    "bay_worker": "the list of the tablet page's files",
    "bay_late": "the scripts of the tablet page, the same for everybody",
    "bay_manifest": "name and pictures of the tablet page",
    "bay_words": "the words of the tablet page, the same for everybody",
    **{
        f"api-tablet-{name}": "answers a tablet's own token, or a manager's code, and no person"
        for name in ("enrol", "people", "pack", "rules", "sync", "photos")
    },
    "feed": "a calendar program has no sign-in: whoever holds the secret address reads it",
    "digest_off": "a link in a letter, which ends that person's letters and can do nothing else",
    "healthz": "a sign of life for a load balancer; it tells nothing of the fleet",
    "api-nowhere": "the answer to an address that is none",
    "set_language": "the language of the pages before sign-in, kept in a cookie",
    "account_login": "the way in",
    "welcome": "a one-time link: whoever holds it is its person, who has no password yet",
    "account_logout": "the way out",
    "account_inactive": "tells somebody why they can't sign in",
    "account_signup": "closed: it says so",
    "account_reauthenticate": "asks for one's own password again",
    "account_change_password": "one's own password",
}
# Methods that need no sign-in on an address that else does.
OPEN_METHODS = {("api-token", "POST")}
