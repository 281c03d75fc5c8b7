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
fitting_new                GET    yard   M-T---
fitting_new                POST   yard   M-T---
file_new                   GET    yard   M---R-
file_new                   POST   yard   M---R-
files                      GET    fleet  M---R-
reports                    GET    fleet  M---R-
report_parts               GET    fleet  M-----
report_fleet               GET    fleet  M-----
report_kept                GET    fleet  M-----
vehicle_record             GET    yard   M---R-
tag_paper                  GET    yard   MSTDRN
sheet_paper                GET    yard   MST-RN
ticket_print               GET    yard   MST-RN
file_paper                 GET    yard   M---R-
file_detail                GET    yard   M---R-
file_answer                GET    yard   M-----
file_answer                POST   yard   M-----
file_withdraw              GET    yard   M---R-
file_withdraw              POST   yard   M---R-
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
recheck_drive              GET    yard   M-T---
recheck_drive              POST   yard   M-T---
understood                 GET    fleet  MSTDRN
hold_new                   GET    yard   MSTD--
hold_new                   POST   yard   MSTD--
hold_lift                  GET    yard   M-----
hold_lift                  POST   yard   M-----
yard_move_new              GET    yard   M-T---
yard_move_new              POST   yard   M-T---
yard_move_end              GET    yard   MSTD--
yard_move_end              POST   yard   MSTD--
ticket_list                GET    fleet  MST-RN
ticket_new                 GET    yard   MST---
ticket_new                 POST   yard   MST---
ticket_detail              GET    yard   MST-RN
line_new                   GET    yard   M-T---
line_new                   POST   yard   M-T---
line_record                GET    yard   M-T---
line_record                POST   yard   M-T---
line_told                  GET    yard   M-T---
line_drop                  GET    yard   M-T---
line_drop                  POST   yard   M-T---
ticket_check               GET    yard   M-T---
ticket_check               POST   yard   M-T---
leave_new                  GET    yard   M-----
leave_new                  POST   yard   M-----
leave_end                  GET    yard   M-----
leave_end                  POST   yard   M-----
ticket_release             GET    yard   M-T---
ticket_release             POST   yard   M-T---
ticket_road_test           GET    yard   M-T---
ticket_road_test           POST   yard   M-T---
ticket_close               GET    yard   M-T---
ticket_close               POST   yard   M-T---
ticket_cancel              GET    yard   M-T---
ticket_cancel              POST   yard   M-T---
set_up                     GET    fleet  M-----
set_up_fleet               GET    fleet  M-----
set_up_fleet               POST   fleet  M-----
set_up_rules               GET    fleet  M-----
set_up_rules               POST   fleet  M-----
first_looks                GET    fleet  MS----
first_looks                POST   fleet  MS----
yard_list                  GET    fleet  M-----
yard_new                   GET    fleet  M-----
yard_new                   POST   fleet  M-----
yard_change                GET    yard   M-----
yard_change                POST   yard   M-----
people                     GET    fleet  M-----
person                     GET    yard   M-----
person_new                 GET    fleet  M-----
person_new                 POST   fleet  M-----
person_change              GET    yard   M-----
person_change              POST   yard   M-----
person_let_go              GET    yard   M-----
person_let_go              POST   yard   M-----
person_take_back           GET    yard   M-----
person_take_back           POST   yard   M-----
person_link                GET    yard   M-----
person_link                POST   yard   M-----
design_new                 GET    fleet  M-----
design_new                 POST   fleet  M-----
design                     GET    fleet  MST-R-
design_alignment           GET    fleet  M-----
design_alignment           POST   fleet  M-----
spec_new                   GET    fleet  M-----
spec_new                   POST   fleet  M-----
tool_new                   GET    fleet  M-----
tool_new                   POST   fleet  M-----
tool_calibrate             GET    yard   M-----
tool_calibrate             POST   yard   M-----
tool_compare               GET    yard   M-T---
tool_compare               POST   yard   M-T---
tool_length                GET    yard   M-----
tool_length                POST   yard   M-----
tool_mishap                GET    yard   M-T---
tool_mishap                POST   yard   M-T---
due                        GET    fleet  MST-RN
patterns                   GET    fleet  MST-R-
pattern                    GET    yard   MST-R-
pattern                    POST   yard   M-----
pattern_paper              GET    yard   MST-R-
specs                      GET    fleet  MST-R-
intervals                  GET    fleet  MST-R-
interval                   GET    fleet  MST-R-
interval                   POST   fleet  M-----
interval_back              GET    fleet  M-----
interval_back              POST   fleet  M-----
interval_aims              GET    fleet  M-----
interval_aims              POST   fleet  M-----
reckoner                   GET    fleet  MSTDRN
reckoner                   POST   fleet  MSTDRN
trail                      GET    fleet  M---R-
guide                      GET    fleet  MSTDRN
guide_chapter              GET    fleet  MSTDRN
settings                   GET    fleet  MSTDRN
settings                   POST   fleet  MSTDRN
bring_in                   GET    fleet  M-----
bring_in                   POST   fleet  M-----
bring_in_sample            GET    fleet  M-----
api-token                  DELETE fleet  MSTDRN
api-me                     GET    fleet  MSTDRN
api-yards                  GET    fleet  MSTDRN
api-yards                  POST   fleet  M-----
api-yard                   GET    yard   MSTDRN
api-yard                   PATCH  yard   M-----
api-people                 GET    fleet  MST-RN
api-people                 POST   fleet  M-----
api-person                 GET    fleet  MST-RN
api-person                 PATCH  fleet  M-----
api-person-let-go          POST   yard   M-----
api-person-take-back       POST   yard   M-----
api-person-link            POST   yard   M-----
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
api-vehicle-steering       GET    yard   MST-RN
api-joint                  GET    yard   MST-RN
api-joint-life             GET    yard   MST-RN
api-joint-fitting          POST   yard   M-T---
api-file-requests          GET    fleet  M---R-
api-file-requests          POST   fleet  M---R-
api-file-request           GET    yard   M---R-
api-file-request-answer    POST   yard   M-----
api-file-request-withdraw  POST   yard   M---R-
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
api-ticket-leaves          GET    yard   MST-RN
api-ticket-leaves          POST   yard   M-----
api-leave-take-back        POST   yard   M-----
api-line-entries           POST   yard   M-T---
api-line-foretell          POST   yard   M-T---
api-line-drop              POST   yard   M-T---
api-holds                  GET    fleet  MST-RN
api-holds                  POST   fleet  MSTD--
api-hold                   GET    yard   MST-RN
api-hold-lift              POST   yard   M-----
api-yard-moves             GET    fleet  MST-RN
api-yard-moves             POST   fleet  M-T---
api-yard-move              GET    yard   MSTDRN
api-yard-move-end          POST   yard   MSTD--
api-due                    GET    fleet  MST-RN
api-due-one                GET    yard   MST-RN
api-due-one                PATCH  yard   MS----
api-due-road-test          POST   yard   M-T---
api-patterns               GET    fleet  MST-R-
api-pattern                GET    yard   MST-R-
api-pattern-judge          POST   yard   M-----
api-intervals              GET    fleet  MST-R-
api-interval               GET    fleet  MST-R-
api-interval-accept        POST   fleet  M-----
api-interval-decline       POST   fleet  M-----
api-interval-take-back     POST   fleet  M-----
api-reckon                 GET    fleet  MSTDRN
api-reckon-clamp-load      POST   fleet  MSTDRN
api-reckon-slotted-nut     POST   fleet  MSTDRN
api-reckon-wrench-extension POST  fleet  MSTDRN
api-reckon-toe             POST   fleet  MSTDRN
api-reckon-sleeve-turns    POST   fleet  MSTDRN
api-reckon-wheel-center    POST   fleet  MSTDRN
api-reckon-toe-drift       POST   fleet  MSTDRN
api-reckon-bump-steer      POST   fleet  MSTDRN
api-reckon-play-limits     POST   fleet  MSTDRN
api-reckon-wheel-frequency POST   fleet  MSTDRN
api-reckon-vibration       POST   fleet  MSTDRN
api-reckon-due-date        POST   fleet  MSTDRN
api-reckon-units           POST   fleet  MSTDRN
api-reckon-vin             POST   fleet  MSTDRN
api-report-parts           GET    fleet  M-----
api-report-fleet           GET    fleet  M-----
api-report-kept            GET    fleet  M-----
api-vehicle-record         GET    yard   M---R-
api-trail                  GET    fleet  M---R-
api-problem                GET    fleet  MSTDRN
api-schema                 GET    fleet  MSTDRN
api-documents              GET    fleet  MSTDRN
"""

# Addresses that ask for no sign-in, or that belong to signing in, each with its reason.
OPEN = {
    "bay": "the tablet page, an empty shell: what it shows comes by the tablet's token",
    "bay_worker": "the list of the tablet page's files",
    "bay_late": "the scripts and words of the tablet page, the same for everybody",
    "bay_manifest": "name and pictures of the tablet page",
    "bay_words": "the words of the tablet page, the same for everybody",
    **{
        f"api-tablet-{name}": "answers a tablet's own token, or a manager's code, and no person"
        for name in ("enrol", "people", "pack", "rules", "sync")
    },
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
