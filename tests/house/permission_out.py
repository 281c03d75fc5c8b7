"""Who may call what of that which leaves the program; columns as in permission_table.py."""

OUT = """\
feed_new                   GET    fleet  MST-RN
feed_new                   POST   fleet  MST-RN
feed_renew                 GET    own    MST-RN
feed_renew                 POST   own    MST-RN
feed_revoke                GET    own    MST-RN
feed_revoke                POST   own    MST-RN
digest_choose              GET    fleet  MST-RN
digest_choose              POST   fleet  MST-RN
webhooks                   GET    fleet  M-----
webhook_new                GET    fleet  M-----
webhook_new                POST   fleet  M-----
webhook                    GET    yard   M-----
webhook_change             GET    yard   M-----
webhook_change             POST   yard   M-----
webhook_secret             GET    yard   M-----
webhook_secret             POST   yard   M-----
webhook_test               GET    yard   M-----
webhook_test               POST   yard   M-----
webhook_all_again          GET    yard   M-----
webhook_all_again          POST   yard   M-----
webhook_replay             GET    yard   M-----
webhook_replay             POST   yard   M-----
delivery_again             GET    yard   M-----
delivery_again             POST   yard   M-----
api-feeds                  GET    fleet  MST-RN
api-feeds                  POST   fleet  MST-RN
api-feed-renew             POST   own    MST-RN
api-feed-take-back         POST   own    MST-RN
api-webhooks               GET    fleet  M-----
api-webhooks               POST   fleet  M-----
api-webhook                GET    yard   M-----
api-webhook                PATCH  yard   M-----
api-webhook-secret         POST   yard   M-----
api-webhook-test           POST   yard   M-----
api-webhook-replay         POST   yard   M-----
api-webhook-again          POST   yard   M-----
api-deliveries             GET    fleet  M-----
api-delivery               GET    yard   M-----
api-delivery-again         POST   yard   M-----
"""
