"""Lines of the permission table: the fleet's rules, and what is owed by them."""

DUE = """
due_week                   GET    fleet  MST-RN
due_assign                 GET    fleet  MS----
due_assign                 POST   fleet  MS----
due_put_off                GET    yard   MS----
due_put_off                POST   yard   MS----
due_put_off_back           GET    yard   MS----
due_put_off_back           POST   yard   MS----
rules                      GET    fleet  MST-R-
rule                       GET    fleet  MST-R-
rule_change                GET    fleet  M-----
rule_change                POST   fleet  M-----
rule_back                  GET    fleet  M-----
rule_back                  POST   fleet  M-----
exception_list             GET    yard   MST-RN
exception_new              GET    yard   M-----
exception_new              POST   yard   M-----
exception_end              GET    yard   M-----
exception_end              POST   yard   M-----
api-rule-change            POST   fleet  M-----
api-rule-preview           POST   fleet  M-----
api-rule-exceptions        GET    fleet  MST-R-
api-rule-exceptions        POST   fleet  M-----
api-rule-exception-end     POST   yard   M-----
api-due-assign             POST   fleet  MS----
api-due-put-off            POST   yard   MS----
api-due-put-off-back       POST   yard   MS----
sweeps                     GET    fleet  MST-R-
sweep                      GET    fleet  MST-R-
sweep_new                  GET    fleet  M-----
sweep_new                  POST   fleet  M-----
sweep_close                GET    fleet  M-----
sweep_close                POST   fleet  M-----
sweep_back                 GET    fleet  M-----
sweep_back                 POST   fleet  M-----
api-sweeps                 GET    fleet  MST-R-
api-sweeps                 POST   fleet  M-----
api-sweep                  GET    fleet  MST-R-
api-sweep-joints           GET    fleet  MST-R-
api-sweep-close            POST   fleet  M-----
api-sweep-take-back        POST   fleet  M-----
"""
