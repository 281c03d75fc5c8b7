"""Who may call what: every address and method, written out and not worked out from the code.

M manager, S scheduler, T technician, D driver, R reader, N integrator. `yard`: somebody of
another yard is told that there is no such thing; `fleet`: it belongs to no yard.
"""

TABLE = """
yard                       GET    fleet  MSTDRN
one_yard                   GET    yard   MST-RN
vehicles                   GET    fleet  MSTDRN
vehicle                    GET    yard   MSTDRN
vehicle_new                GET    fleet  M-----
vehicle_new                POST   fleet  M-----
vehicle_change             GET    yard   M-----
vehicle_change             POST   yard   M-----
vehicle_lay_up             GET    yard   MS----
vehicle_lay_up             POST   yard   MS----
vehicle_bring_back         GET    yard   MS----
vehicle_bring_back         POST   yard   MS----
vehicle_let_go             GET    yard   M-----
vehicle_let_go             POST   yard   M-----
joint                      GET    yard   MST-RN
complaint_new              GET    yard   MSTD--
complaint_new              POST   yard   MSTD--
complaint_detail           GET    yard   MSTDRN
complaint_answer           GET    yard   MST---
complaint_answer           POST   yard   MST---
meter_new                  GET    yard   MSTD-N
meter_new                  POST   yard   MSTD-N
meter_withdraw             GET    yard   M-----
meter_withdraw             POST   yard   M-----
inspection_new             GET    yard   M-T---
inspection_new             POST   yard   M-T---
inspection_foretell        GET    yard   M-T---
inspection_detail          GET    yard   MST-RN
understood                 GET    fleet  MSTDRN
hold_new                   GET    yard   MSTD--
hold_new                   POST   yard   MSTD--
hold_lift                  GET    yard   M-----
hold_lift                  POST   yard   M-----
ticket_list                GET    fleet  MST-RN
ticket_new                 GET    yard   MST---
ticket_new                 POST   yard   MST---
ticket_detail              GET    yard   MST-RN
line_new                   GET    yard   M-T---
line_new                   POST   yard   M-T---
line_record                GET    yard   M-T---
line_record                POST   yard   M-T---
line_drop                  GET    yard   M-T---
line_drop                  POST   yard   M-T---
ticket_check               GET    yard   M-T---
ticket_check               POST   yard   M-T---
ticket_release             GET    yard   M-T---
ticket_release             POST   yard   M-T---
ticket_road_test           GET    yard   M-T---
ticket_road_test           POST   yard   M-T---
ticket_close               GET    yard   M-T---
ticket_close               POST   yard   M-T---
ticket_cancel              GET    yard   M-T---
ticket_cancel              POST   yard   M-T---
spec_new                   GET    fleet  M-----
spec_new                   POST   fleet  M-----
tool_new                   GET    fleet  M-----
tool_new                   POST   fleet  M-----
tool_calibrate             GET    yard   M-----
tool_calibrate             POST   yard   M-----
tool_compare               GET    yard   M-T---
tool_compare               POST   yard   M-T---
tool_mishap                GET    yard   M-T---
tool_mishap                POST   yard   M-T---
due                        GET    fleet  MST-RN
patterns                   GET    fleet  MST-R-
pattern                    GET    yard   MST-R-
pattern                    POST   yard   M-----
specs                      GET    fleet  MST-R-
trail                      GET    fleet  M---R-
settings                   GET    fleet  MSTDRN
settings                   POST   fleet  MSTDRN
bring_in                   GET    fleet  M-----
bring_in                   POST   fleet  M-----
bring_in_sample            GET    fleet  M-----
api-token                  DELETE fleet  MSTDRN
api-me                     GET    fleet  MSTDRN
api-yards                  GET    fleet  MSTDRN
api-yard                   GET    yard   MSTDRN
api-people                 GET    fleet  MST-RN
api-person                 GET    fleet  MST-RN
api-designs                GET    fleet  MSTDRN
api-design                 GET    fleet  MSTDRN
api-joint-kinds            GET    fleet  MSTDRN
api-joint-kind             GET    fleet  MSTDRN
api-rules                  GET    fleet  MST-R-
api-rule                   GET    fleet  MST-R-
api-specs                  GET    fleet  MST-R-
api-spec                   GET    fleet  MST-R-
api-tools                  GET    fleet  MST-R-
api-tool                   GET    yard   MST-R-
api-calibrations           GET    yard   MST-R-
api-vehicles               GET    fleet  MSTDRN
api-vehicles               POST   fleet  M-----
api-vehicle                GET    yard   MSTDRN
api-vehicle                PATCH  yard   M-----
api-vehicle-joints         GET    yard   MST-RN
api-joint                  GET    yard   MST-RN
api-joint-life             GET    yard   MST-RN
api-joint-foretell         GET    yard   M-T---
api-understood             GET    fleet  MSTDRN
api-meter-readings         GET    fleet  MST-RN
api-meter-readings         POST   fleet  MSTD-N
api-meter-readings-bulk    POST   fleet  MSTD-N
api-reading-withdraw       POST   yard   M-----
api-complaints             GET    fleet  MST-RN
api-complaints             POST   fleet  MSTD--
api-complaint              GET    yard   MST-RN
api-complaint-order        GET    yard   MST-RN
api-complaint-answers      POST   yard   MST---
api-inspections            GET    fleet  MST-RN
api-inspections            POST   fleet  M-T---
api-inspection             GET    yard   MST-RN
api-findings               GET    fleet  MST-RN
api-finding                GET    yard   MST-RN
api-tickets                GET    fleet  MST-RN
api-tickets                POST   fleet  MST---
api-ticket                 GET    yard   MST-RN
api-ticket-lines           POST   yard   M-T---
api-ticket-cancel          POST   yard   M-T---
api-ticket-second-check    POST   yard   M-T---
api-ticket-release         POST   yard   M-T---
api-ticket-road-test       POST   yard   M-T---
api-ticket-close           POST   yard   M-T---
api-line-entries           POST   yard   M-T---
api-line-drop              POST   yard   M-T---
api-holds                  GET    fleet  MST-RN
api-holds                  POST   fleet  MSTD--
api-hold                   GET    yard   MST-RN
api-hold-lift              POST   yard   M-----
api-due                    GET    fleet  MST-RN
api-due-one                GET    yard   MST-RN
api-due-one                PATCH  yard   MS----
api-patterns               GET    fleet  MST-R-
api-pattern                GET    yard   MST-R-
api-pattern-judge          POST   yard   M-----
api-trail                  GET    fleet  M---R-
api-problem                GET    fleet  MSTDRN
api-schema                 GET    fleet  MSTDRN
api-documents              GET    fleet  MSTDRN
"""

# Addresses that ask for no sign-in, or that belong to signing in, each with its reason.
OPEN = {
    "healthz": "a sign of life for a load balancer; it tells nothing of the fleet",
    "api-nowhere": "the answer to an address that is none",
    "account_login": "the way in",
    "account_logout": "the way out",
    "account_inactive": "tells somebody why they can't sign in",
    "account_signup": "closed: it says so",
    "account_reauthenticate": "asks for one's own password again",
    "account_change_password": "one's own password",
}
# Methods that need no sign-in on an address that else does.
OPEN_METHODS = {("api-token", "POST")}
