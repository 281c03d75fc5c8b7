import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

import fleet.records.base


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Yard",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, unique=True, verbose_name="name")),
                ("slug", models.SlugField(max_length=40, unique=True)),
                (
                    "time_zone",
                    models.CharField(default="UTC", max_length=64, verbose_name="time zone"),
                ),
                (
                    "on_call_number",
                    models.CharField(blank=True, max_length=40, verbose_name="on-call number"),
                ),
                ("far", models.BooleanField(default=False, verbose_name="far yard, poor network")),
                ("bays", models.PositiveSmallIntegerField(default=1, verbose_name="bays")),
                ("working_days", models.JSONField(default=list, verbose_name="working days")),
                (
                    "units",
                    models.CharField(
                        choices=[("us", "US"), ("metric", "metric")],
                        default="us",
                        max_length=6,
                        verbose_name="units",
                    ),
                ),
                ("rolled_to", models.DateField(null=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                (
                    "last_login",
                    models.DateTimeField(blank=True, null=True, verbose_name="last login"),
                ),
                (
                    "username",
                    models.CharField(max_length=60, unique=True, verbose_name="sign-in name"),
                ),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="telephone")),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("manager", "manager"),
                            ("scheduler", "scheduler"),
                            ("technician", "technician"),
                            ("driver", "driver"),
                            ("reader", "reader"),
                            ("integrator", "integrator"),
                            ("server", "the server itself"),
                        ],
                        max_length=12,
                        verbose_name="role",
                    ),
                ),
                ("all_yards", models.BooleanField(default=False, verbose_name="all yards")),
                ("trained", models.BooleanField(default=False, verbose_name="trained to check")),
                ("language", models.CharField(default="en", max_length=5)),
                ("units", models.CharField(default="us", max_length=6)),
                ("is_active", models.BooleanField(default=True, verbose_name="active")),
                ("version", models.PositiveIntegerField(default=0)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "role__in",
                                [
                                    "manager",
                                    "scheduler",
                                    "technician",
                                    "driver",
                                    "reader",
                                    "integrator",
                                    "server",
                                ],
                            )
                        ),
                        name="person_role_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="JointKind",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.SlugField(max_length=60, unique=True)),
                ("names", models.JSONField(default=dict)),
                ("group", models.CharField(max_length=30)),
                ("sided", models.BooleanField(default=False)),
                ("holds", models.BooleanField(default=False, verbose_name="warrants a hold")),
                (
                    "held_by",
                    models.CharField(
                        choices=[
                            ("bolt", "plain or lock nut on a straight bolt"),
                            ("slotted_bolt", "slotted nut and pin on a straight bolt"),
                            ("slotted_stud", "slotted nut and pin on a tapered stud"),
                            ("clamp", "clamp"),
                            ("u_bolt", "U-bolt"),
                            ("stud_nuts", "nuts on studs, in a sequence"),
                            ("adjusting_nut", "wheel-bearing adjusting nut"),
                            ("pressed", "pressed in"),
                            ("angle", "angle or to-yield bolt"),
                            ("none", "no fastener"),
                        ],
                        default="none",
                        max_length=20,
                    ),
                ),
                ("moved_methods", models.JSONField(default=list)),
                ("play_methods", models.JSONField(default=list)),
                ("limit", models.CharField(blank=True, max_length=30)),
                ("limit_note", models.JSONField(default=dict)),
                ("response", models.CharField(max_length=40)),
                ("minutes", models.PositiveSmallIntegerField(default=2)),
                ("ride_height", models.BooleanField(default=False)),
                ("opens_steering", models.BooleanField(default=False)),
                ("may_be_absent", models.BooleanField(default=False, verbose_name="may be absent")),
                ("hint", models.JSONField(default=dict)),
            ],
            options={
                "ordering": ["group", "code"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "held_by__in",
                                [
                                    "bolt",
                                    "slotted_bolt",
                                    "slotted_stud",
                                    "clamp",
                                    "u_bolt",
                                    "stud_nuts",
                                    "adjusting_nut",
                                    "pressed",
                                    "angle",
                                    "none",
                                ],
                            )
                        ),
                        name="joint_kind_held_by_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Layout",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.SlugField(max_length=60, unique=True)),
                ("names", models.JSONField(default=dict)),
                (
                    "axis",
                    models.CharField(
                        choices=[
                            ("axle", "axle location"),
                            ("linkage", "steering linkage"),
                            ("knuckle", "knuckles"),
                            ("hub", "hubs"),
                            ("common", "on every vehicle"),
                        ],
                        max_length=10,
                    ),
                ),
            ],
            options={
                "ordering": ["axis", "code"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("axis__in", ["axle", "linkage", "knuckle", "hub", "common"])
                        ),
                        name="layout_axis_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Seal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("first_id", models.BigIntegerField(unique=True)),
                ("last_id", models.BigIntegerField(unique=True)),
                ("entries", models.PositiveIntegerField()),
                ("digest", models.CharField(max_length=64)),
                ("sealed_at", models.DateTimeField()),
                (
                    "previous",
                    models.OneToOneField(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.seal"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_id__gte", models.F("first_id"))),
                        name="seal_range_in_order",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="TrailEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                ("gesture", models.UUIDField()),
                ("at", models.DateTimeField()),
                ("received_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("actor_id", models.BigIntegerField()),
                ("tablet_id", models.BigIntegerField(null=True)),
                ("door", models.CharField(max_length=10)),
                ("verb", models.CharField(max_length=40)),
                ("subject", models.CharField(max_length=30)),
                ("subject_id", models.BigIntegerField()),
                ("vehicle_id", models.BigIntegerField(null=True)),
                ("yard_id", models.BigIntegerField(null=True)),
                ("before", models.JSONField(default=dict)),
                ("after", models.JSONField(default=dict)),
                ("reason", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle_id", "-id"], name="records_tra_vehicle_85d2d1_idx"
                    ),
                    models.Index(
                        fields=["subject", "subject_id"], name="records_tra_subject_bfbfac_idx"
                    ),
                    models.Index(fields=["yard_id", "-id"], name="records_tra_yard_id_8056ce_idx"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Tablet",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                ("name", models.CharField(max_length=60, unique=True)),
                ("enrolled_at", models.DateTimeField(auto_now_add=True)),
                ("revoked_at", models.DateTimeField(null=True)),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to="records.yard"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="TorqueTool",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=20, unique=True, verbose_name="code")),
                ("name", models.CharField(max_length=80, verbose_name="description")),
                (
                    "kind",
                    models.CharField(
                        choices=[("set", "set to a figure"), ("read", "read off a scale")],
                        max_length=4,
                    ),
                ),
                ("low_nm", models.FloatField(verbose_name="range from, N·m")),
                ("high_nm", models.FloatField(verbose_name="range to, N·m")),
                (
                    "lever_typed",
                    models.CharField(
                        blank=True, max_length=40, verbose_name="length, drive to grip"
                    ),
                ),
                ("lever_m", models.FloatField(null=True)),
                ("in_use", models.BooleanField(default=True, verbose_name="in use")),
                ("good_until", models.DateField(null=True, verbose_name="calibration good until")),
                ("doubted_since", models.DateTimeField(null=True, verbose_name="doubted since")),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tools",
                        to="records.yard",
                    ),
                ),
            ],
            options={
                "ordering": ["code"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("low_nm__gt", 0)), name="tool_low_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("high_nm__gt", models.F("low_nm"))),
                        name="tool_high_above_low",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("lever_m__isnull", True), ("lever_m__gt", 0), _connector="OR"
                        ),
                        name="tool_lever_positive",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Design",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, unique=True, verbose_name="name")),
                ("make", models.CharField(max_length=60, verbose_name="make")),
                ("toe_low_m", models.FloatField(null=True, verbose_name="least toe-in")),
                ("toe_high_m", models.FloatField(null=True, verbose_name="most toe-in")),
                ("toe_typed", models.CharField(blank=True, max_length=60)),
                ("toe_source", models.CharField(blank=True, max_length=160)),
                (
                    "caster_low_degrees",
                    models.FloatField(null=True, verbose_name="least caster, degrees"),
                ),
                (
                    "caster_high_degrees",
                    models.FloatField(null=True, verbose_name="most caster, degrees"),
                ),
                ("caster_typed", models.CharField(blank=True, max_length=60)),
                ("caster_source", models.CharField(blank=True, max_length=160)),
                (
                    "camber_low_degrees",
                    models.FloatField(null=True, verbose_name="least camber, degrees"),
                ),
                (
                    "camber_high_degrees",
                    models.FloatField(null=True, verbose_name="most camber, degrees"),
                ),
                ("camber_typed", models.CharField(blank=True, max_length=60)),
                ("camber_source", models.CharField(blank=True, max_length=160)),
                (
                    "tie_rod_ahead",
                    models.BooleanField(default=False, verbose_name="tie rod ahead of the axle"),
                ),
                ("steering_arm_m", models.FloatField(null=True, verbose_name="steering arm, m")),
                ("steering_arm_typed", models.CharField(blank=True, max_length=40)),
                ("tie_rod_lead_m", models.FloatField(null=True)),
                ("tie_rod_other_lead_m", models.FloatField(null=True)),
                ("tie_rod_thread_typed", models.CharField(blank=True, max_length=40)),
                ("tie_rod_other_typed", models.CharField(blank=True, max_length=40)),
                ("pitman_arm_m", models.FloatField(null=True, verbose_name="Pitman arm, m")),
                ("pitman_arm_typed", models.CharField(blank=True, max_length=40)),
                ("gear_ratio", models.FloatField(null=True, verbose_name="ratio of the gear")),
                ("drag_link_lead_m", models.FloatField(null=True)),
                ("drag_link_other_lead_m", models.FloatField(null=True)),
                ("drag_link_thread_typed", models.CharField(blank=True, max_length=40)),
                ("drag_link_other_typed", models.CharField(blank=True, max_length=40)),
                ("longer_link_turns_right", models.BooleanField(null=True)),
                ("linkage_source", models.CharField(blank=True, max_length=160)),
                (
                    "axle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.layout",
                    ),
                ),
                (
                    "hub",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.layout",
                    ),
                ),
                (
                    "knuckle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.layout",
                    ),
                ),
                (
                    "linkage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.layout",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="LayoutJoint",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("side", models.CharField(blank=True, max_length=5)),
                ("order", models.PositiveIntegerField()),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="places",
                        to="records.jointkind",
                    ),
                ),
                (
                    "layout",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="joints",
                        to="records.layout",
                    ),
                ),
            ],
            options={
                "ordering": ["order", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("layout", "kind", "side"), name="layout_joint_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("side__in", ["", "left", "right"])),
                        name="layout_joint_side_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Rule",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=20)),
                ("key", models.CharField(max_length=60)),
                ("version", models.PositiveIntegerField(default=1)),
                ("data", models.JSONField()),
                ("is_current", models.BooleanField(default=True)),
                ("since", models.DateTimeField()),
                ("reason", models.CharField(blank=True, max_length=200)),
                (
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "key", "-version"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "key", "version"), name="rule_version_once"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("is_current", True)),
                        fields=("kind", "key"),
                        name="rule_one_current",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StoredRequest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=128)),
                ("verb", models.CharField(max_length=40)),
                ("body_hash", models.CharField(max_length=64)),
                ("result", models.JSONField(default=dict)),
                ("stored_at", models.DateTimeField(auto_now_add=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["stored_at"], name="records_sto_stored__8f0bfc_idx")
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("person", "key"), name="request_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Outbox",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("consumer", models.CharField(max_length=20)),
                ("vehicle_id", models.BigIntegerField(null=True)),
                ("leased_until", models.DateTimeField(null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("last_error", models.TextField(blank=True)),
                (
                    "trail",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="notices",
                        to="records.trailentry",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["consumer", "leased_until", "id"],
                        name="records_out_consume_a13142_idx",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("trail", "consumer"), name="notice_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="Posting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="postings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="postings",
                        to="records.yard",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("person", "yard"), name="posting_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="TorqueSpec",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "origin",
                    models.CharField(
                        choices=[("factory", "factory"), ("shop", "shop")], max_length=8
                    ),
                ),
                ("is_target", models.BooleanField(default=False, verbose_name="target")),
                ("typed", models.CharField(max_length=60, verbose_name="as written")),
                ("low_nm", models.FloatField(verbose_name="low side, N·m")),
                ("high_nm", models.FloatField(verbose_name="high side, N·m")),
                (
                    "angle_degrees",
                    models.FloatField(null=True, verbose_name="then turned on by, degrees"),
                ),
                ("sequence", models.CharField(blank=True, max_length=120, verbose_name="order")),
                (
                    "thread_condition",
                    models.CharField(
                        choices=[
                            ("dry", "dry"),
                            ("oiled", "oiled"),
                            ("anti_seize", "anti-seize"),
                            ("threadlocker", "threadlocker"),
                        ],
                        max_length=14,
                    ),
                ),
                (
                    "new_fastener",
                    models.BooleanField(default=False, verbose_name="new fastener each time"),
                ),
                ("thread", models.CharField(blank=True, max_length=30, verbose_name="thread")),
                (
                    "strength_class",
                    models.CharField(blank=True, max_length=20, verbose_name="class or grade"),
                ),
                (
                    "source",
                    models.CharField(max_length=160, verbose_name="where the figure stands"),
                ),
                ("reason", models.CharField(blank=True, max_length=200, verbose_name="reason")),
                ("version", models.PositiveIntegerField(default=1)),
                ("is_current", models.BooleanField(default=True)),
                ("since", models.DateTimeField()),
                (
                    "design",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="specs",
                        to="records.design",
                    ),
                ),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="specs",
                        to="records.jointkind",
                    ),
                ),
                (
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "ordering": ["design", "kind", "origin", "-version"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("design", "kind", "origin", "version"), name="spec_version_once"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("is_current", True)),
                        fields=("design", "kind", "origin"),
                        name="spec_one_current",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("is_current", True), ("is_target", True)),
                        fields=("design", "kind"),
                        name="spec_one_target",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("low_nm__gt", 0)), name="spec_low_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("high_nm__gte", models.F("low_nm"))),
                        name="spec_high_not_below_low",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("is_target", False), ("is_current", True), _connector="OR"
                        ),
                        name="spec_target_is_current",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ToolMishap",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("what", models.CharField(max_length=200)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "tool",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mishaps",
                        to="records.torquetool",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="ToolComparison",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("figure_nm", models.FloatField()),
                ("pulls_nm", models.JSONField()),
                ("worst_share", models.FloatField()),
                ("agrees", models.BooleanField()),
                ("good_until", models.DateField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "beside",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.torquetool",
                    ),
                ),
                (
                    "tool",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="comparisons",
                        to="records.torquetool",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="Calibration",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("passed", models.BooleanField()),
                (
                    "worst_deviation",
                    models.FloatField(
                        null=True, verbose_name="worst deviation, share of the figure"
                    ),
                ),
                ("good_until", models.DateField(null=True)),
                ("certificate", models.CharField(max_length=120, verbose_name="certificate")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "tool",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="calibrations",
                        to="records.torquetool",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="Training",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("subject", models.CharField(max_length=120)),
                ("valid_until", models.DateField(null=True)),
                ("reference", models.CharField(blank=True, max_length=120)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="trainings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Vehicle",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "unit_number",
                    models.CharField(max_length=20, unique=True, verbose_name="unit number"),
                ),
                ("vin", models.CharField(blank=True, max_length=17, verbose_name="VIN")),
                (
                    "vin_note",
                    models.CharField(blank=True, max_length=160, verbose_name="note on the VIN"),
                ),
                (
                    "model_year",
                    models.PositiveSmallIntegerField(null=True, verbose_name="model year"),
                ),
                (
                    "status",
                    models.CharField(
                        choices=[
                            ("in_service", "in service"),
                            ("laid_up", "laid up"),
                            ("out", "out of fleet"),
                        ],
                        default="in_service",
                        max_length=12,
                    ),
                ),
                (
                    "duty",
                    models.CharField(
                        choices=[
                            ("highway", "highway"),
                            ("gravel", "gravel"),
                            ("off_road", "off-road"),
                            ("plough", "plow"),
                        ],
                        max_length=10,
                        verbose_name="duty",
                    ),
                ),
                (
                    "steering_side",
                    models.CharField(
                        choices=[("left", "left-hand drive"), ("right", "right-hand drive")],
                        default="left",
                        max_length=5,
                    ),
                ),
                (
                    "gross_weight_kg",
                    models.PositiveIntegerField(
                        null=True, verbose_name="gross vehicle weight rating, kg"
                    ),
                ),
                (
                    "corrosion",
                    models.CharField(
                        choices=[("dry", "dry"), ("mixed", "mixed"), ("salt", "salt")],
                        default="dry",
                        max_length=6,
                    ),
                ),
                (
                    "tyre_size",
                    models.CharField(blank=True, max_length=30, verbose_name="tire size"),
                ),
                (
                    "wheel_diameter_m",
                    models.FloatField(null=True, verbose_name="wheel diameter, m"),
                ),
                ("wheel_offset_m", models.FloatField(null=True, verbose_name="wheel offset, m")),
                (
                    "steering_wheel_m",
                    models.FloatField(null=True, verbose_name="steering wheel diameter, m"),
                ),
                (
                    "power_steering",
                    models.BooleanField(default=True, verbose_name="power steering"),
                ),
                (
                    "meter_unit",
                    models.CharField(
                        choices=[("mi", "miles"), ("km", "kilometres"), ("h", "hours")],
                        max_length=2,
                    ),
                ),
                ("lift_m", models.FloatField(default=0, verbose_name="lift, m")),
                ("drop_arm", models.BooleanField(default=False, verbose_name="drop Pitman arm")),
                (
                    "lowered_bracket",
                    models.BooleanField(default=False, verbose_name="lowered track-bar bracket"),
                ),
                (
                    "adjustable_bar",
                    models.BooleanField(default=False, verbose_name="adjustable track bar"),
                ),
                (
                    "drag_link_degrees",
                    models.FloatField(
                        null=True, verbose_name="drag link angle at ride height, degrees"
                    ),
                ),
                (
                    "track_bar_degrees",
                    models.FloatField(
                        null=True, verbose_name="track bar angle at ride height, degrees"
                    ),
                ),
                ("drag_link_m", models.FloatField(null=True, verbose_name="drag link length, m")),
                ("drag_link_typed", models.CharField(blank=True, max_length=40)),
                ("track_bar_m", models.FloatField(null=True, verbose_name="track bar length, m")),
                ("track_bar_typed", models.CharField(blank=True, max_length=40)),
                (
                    "owner_name",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="owner, if not the fleet"
                    ),
                ),
                ("in_fleet_since", models.DateField(null=True, verbose_name="in the fleet since")),
                ("left_fleet_on", models.DateField(null=True)),
                ("laid_up_on", models.DateField(null=True)),
                ("version", models.PositiveIntegerField(default=0)),
                (
                    "design",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="vehicles",
                        to="records.design",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="vehicles",
                        to="records.yard",
                    ),
                ),
            ],
            options={
                "ordering": ["unit_number"],
                "indexes": [
                    models.Index(fields=["yard", "status"], name="records_veh_yard_id_84a91e_idx")
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("vin", ""), _negated=True),
                        fields=("vin",),
                        name="vin_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("status__in", ["in_service", "laid_up", "out"])),
                        name="vehicle_status_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("status", "laid_up"), _negated=True),
                            ("laid_up_on__isnull", False),
                            _connector="OR",
                        ),
                        name="vehicle_laid_up_has_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("duty__in", ["highway", "gravel", "off_road", "plough"])
                        ),
                        name="vehicle_duty_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("meter_unit__in", ["mi", "km", "h"])),
                        name="vehicle_unit_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Joint",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("side", models.CharField(blank=True, max_length=5)),
                ("order", models.PositiveIntegerField()),
                (
                    "fitted",
                    models.CharField(
                        choices=[
                            ("fitted", "fitted"),
                            ("apart", "apart"),
                            ("not_fitted", "not fitted"),
                        ],
                        default="fitted",
                        max_length=10,
                    ),
                ),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="joints",
                        to="records.jointkind",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.layoutjoint",
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="joints",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["order", "id"],
                "constraints": [
                    models.UniqueConstraint(fields=("vehicle", "kind", "side"), name="joint_once"),
                    models.CheckConstraint(
                        condition=models.Q(("fitted__in", ["fitted", "apart", "not_fitted"])),
                        name="joint_fitted_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Complaint",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("wheel_shake", "shake in the wheel only"),
                            ("axle_oscillation", "whole axle oscillating"),
                            ("wander", "wander"),
                            ("pull", "pull to one side"),
                            ("clunk", "clunk"),
                            ("stiff_or_binding", "stiff or binding"),
                            ("wheel_off_centre", "wheel off center"),
                            ("hit_something", "hit something"),
                        ],
                        max_length=20,
                    ),
                ),
                ("text", models.TextField(blank=True, verbose_name="in the driver's words")),
                (
                    "speed_typed",
                    models.CharField(blank=True, max_length=30, verbose_name="at what speed"),
                ),
                ("speed_m_s", models.FloatField(null=True)),
                ("after_bump", models.BooleanField(null=True, verbose_name="after a bump")),
                ("under_braking", models.BooleanField(null=True, verbose_name="under braking")),
                (
                    "stopped_only_when_slowed",
                    models.BooleanField(null=True, verbose_name="stopped only when slowed"),
                ),
                ("sudden", models.BooleanField(null=True, verbose_name="came suddenly")),
                (
                    "steering_changed",
                    models.BooleanField(null=True, verbose_name="steering changed after a hit"),
                ),
                (
                    "tyre_pressures",
                    models.CharField(blank=True, max_length=80, verbose_name="tire pressures"),
                ),
                ("load", models.CharField(blank=True, max_length=80, verbose_name="load")),
                ("use_si", models.BigIntegerField(null=True)),
                ("rule_version", models.PositiveIntegerField(default=1)),
                ("held", models.BooleanField(default=False, verbose_name="held the vehicle")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="complaints",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle", "-occurred_at"], name="records_com_vehicle_250a7a_idx"
                    ),
                    models.Index(fields=["kind"], name="records_com_kind_569f0d_idx"),
                ],
            },
        ),
        migrations.CreateModel(
            name="FileRequest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "asker",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="who asks, if not who enters it"
                    ),
                ),
                ("why", models.CharField(max_length=300, verbose_name="what for")),
                ("since", models.DateField(null=True, verbose_name="from")),
                ("until", models.DateField(null=True, verbose_name="to")),
                ("wanted_by", models.DateField(verbose_name="wanted by")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="file_requests",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle", "-occurred_at"], name="records_fil_vehicle_59c6df_idx"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("since", None),
                            ("until", None),
                            ("until__gte", models.F("since")),
                            _connector="OR",
                        ),
                        name="file_request_days_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("why", ""), _negated=True), name="file_request_says_why"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MeterReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("read", "read"),
                            ("new_meter", "first reading of a new meter"),
                            ("withdraws", "withdraws a wrong reading"),
                        ],
                        default="read",
                        max_length=10,
                    ),
                ),
                ("typed", models.CharField(max_length=40, verbose_name="as typed")),
                (
                    "value",
                    models.DecimalField(decimal_places=1, max_digits=12, verbose_name="as read"),
                ),
                (
                    "unit",
                    models.CharField(
                        choices=[("mi", "miles"), ("km", "kilometres"), ("h", "hours")],
                        max_length=2,
                    ),
                ),
                ("use_si", models.BigIntegerField()),
                ("reason", models.CharField(blank=True, max_length=200)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "withdraws",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="withdrawn_by",
                        to="records.meterreading",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle", "-occurred_at", "-id"],
                        name="records_met_vehicle_5e74f7_idx",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("value__gte", 0)), name="meter_value_not_negative"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("use_si__gte", 0)), name="meter_use_not_negative"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "withdraws"), ("withdraws__isnull", False)),
                            models.Q(
                                models.Q(("kind", "withdraws"), _negated=True),
                                ("withdraws__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="meter_withdraws_names_one",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="YardMove",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("route", models.CharField(max_length=200, verbose_name="by which route")),
                ("speed_typed", models.CharField(max_length=30, verbose_name="at most how fast")),
                ("speed_m_s", models.FloatField()),
                ("until", models.DateTimeField(verbose_name="until")),
                ("after_oscillation", models.BooleanField()),
                (
                    "why_not_towed",
                    models.CharField(
                        blank=True, max_length=500, verbose_name="why it can't be towed"
                    ),
                ),
                ("tow_ruled_out", models.BooleanField(default=False)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "follows",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followed_by",
                        to="records.yardmove",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="yard_moves",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("follows", None)),
                        fields=("vehicle",),
                        name="move_first_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("speed_m_s__gt", 0)), name="move_speed_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("until__gt", models.F("occurred_at"))),
                        name="move_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("after_oscillation", False),
                            models.Q(
                                ("tow_ruled_out", True),
                                models.Q(("why_not_towed", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="move_after_oscillation_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Inspection",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("routine", "routine"),
                            ("retorque", "retorque"),
                            ("recheck", "recheck after repair"),
                            ("complaint", "complaint"),
                            ("damage", "after damage"),
                            ("annual", "annual"),
                            ("sweep", "sweep"),
                            ("bring_back", "bring-back"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "at_wheel",
                    models.CharField(blank=True, max_length=80, verbose_name="at the wheel"),
                ),
                ("on_wheels", models.BooleanField(null=True, verbose_name="on its wheels")),
                ("engine_on", models.BooleanField(null=True, verbose_name="engine on")),
                ("ride_height", models.BooleanField(null=True, verbose_name="at ride height")),
                ("plough_on", models.BooleanField(null=True, verbose_name="plow on")),
                ("use_si", models.BigIntegerField(null=True)),
                ("note", models.TextField(blank=True, verbose_name="note")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "complaint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="inspections",
                        to="records.complaint",
                    ),
                ),
                (
                    "second_person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reading",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.meterreading",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="inspections",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle", "-occurred_at"], name="records_ins_vehicle_968af7_idx"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                [
                                    "routine",
                                    "retorque",
                                    "recheck",
                                    "complaint",
                                    "damage",
                                    "annual",
                                    "sweep",
                                    "bring_back",
                                ],
                            )
                        ),
                        name="inspection_kind_is_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="FileAnswer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[("answered", "answered"), ("withdrawn", "withdrawn")],
                        max_length=10,
                    ),
                ),
                ("text", models.TextField(verbose_name="with what, or why")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "request",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answer",
                        to="records.filerequest",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["answered", "withdrawn"])),
                        name="file_answer_kind_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("text", ""), _negated=True),
                        name="file_answer_says_what",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ComplaintAnswer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("text", models.TextField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "complaint",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answers",
                        to="records.complaint",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["occurred_at", "id"],
            },
        ),
        migrations.CreateModel(
            name="Ticket",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("checked", "second check passed"),
                            ("released", "released for road test only"),
                            ("tested", "road test passed"),
                            ("closed", "closed"),
                            ("cancelled", "cancelled"),
                        ],
                        default="open",
                        max_length=10,
                    ),
                ),
                ("title", models.CharField(blank=True, max_length=160, verbose_name="what for")),
                ("opened_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(null=True)),
                ("outcome", models.TextField(blank=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "closed_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "complaint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tickets",
                        to="records.complaint",
                    ),
                ),
                (
                    "opened_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tickets",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-opened_at", "-id"],
                "indexes": [
                    models.Index(fields=["vehicle", "state"], name="records_tic_vehicle_6e1a36_idx")
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state__in", ["closed", "cancelled"]), _negated=True),
                        fields=("vehicle",),
                        name="ticket_one_open",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "state__in",
                                ["open", "checked", "released", "tested", "closed", "cancelled"],
                            )
                        ),
                        name="ticket_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "closed"), _negated=True),
                            ("closed_at__isnull", False),
                            _connector="OR",
                        ),
                        name="ticket_closed_has_moment",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VehicleUse",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("last_at", models.DateTimeField(null=True)),
                ("last_use_si", models.BigIntegerField(null=True)),
                ("days_read", models.PositiveSmallIntegerField(default=0)),
                ("rate_low", models.FloatField(null=True)),
                ("rate_likely", models.FloatField(null=True)),
                ("rate_high", models.FloatField(null=True)),
                (
                    "last_reading",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.meterreading",
                    ),
                ),
                (
                    "vehicle",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Pattern",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                ("kind", models.CharField(max_length=30)),
                ("key", models.CharField(max_length=80)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("looked_at", "looked at"),
                            ("acted_on", "acted on"),
                            ("helped", "helped"),
                            ("did_not_help", "did not help"),
                            ("too_early", "too early to say"),
                            ("set_aside", "set aside"),
                        ],
                        default="open",
                        max_length=12,
                    ),
                ),
                ("evidence", models.JSONField(default=dict)),
                ("statistic", models.JSONField(default=dict)),
                ("next_look", models.JSONField(default=list)),
                ("opened_at", models.DateTimeField()),
                ("last_evidence_at", models.DateTimeField()),
                ("cause", models.TextField(blank=True, verbose_name="cause found")),
                ("action", models.TextField(blank=True, verbose_name="what was done")),
                ("set_aside_reason", models.TextField(blank=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "joint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="patterns",
                        to="records.joint",
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="patterns",
                        to="records.vehicle",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.yard"
                    ),
                ),
            ],
            options={
                "ordering": ["-last_evidence_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["state", "-last_evidence_at"], name="records_pat_state_3f36b6_idx"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("kind", "key"), name="pattern_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "set_aside"), _negated=True),
                            models.Q(("set_aside_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="pattern_set_aside_has_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="YardMoveEnd",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "how",
                    models.CharField(
                        choices=[("arrived", "arrived in the yard"), ("taken_back", "taken back")],
                        max_length=10,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "move",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="end",
                        to="records.yardmove",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("how", "arrived"),
                            models.Q(("how", "taken_back"), models.Q(("note", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="move_taken_back_says_why",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RoadRelease",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("driver", models.CharField(max_length=120)),
                ("place", models.CharField(max_length=160)),
                ("until", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="releases",
                        to="records.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="SelfCheckLeave",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "reason",
                    models.CharField(max_length=300, verbose_name="why nobody else can check"),
                ),
                ("until", models.DateTimeField(verbose_name="until")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "technician",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="self_check_leaves",
                        to="records.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("by", models.F("technician")), _negated=True),
                        name="leave_not_to_oneself",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="leave_has_a_reason"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("until__gt", models.F("occurred_at"))),
                        name="leave_ends_after_it_begins",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LeaveTakenBack",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("reason", models.CharField(max_length=300)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "leave",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taken_back",
                        to="records.selfcheckleave",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="leave_taken_back_says_why",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RoadTest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("passed", models.BooleanField()),
                ("top_speed_typed", models.CharField(blank=True, max_length=30)),
                ("top_speed_m_s", models.FloatField(null=True)),
                ("note", models.TextField(blank=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "release",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="test",
                        to="records.roadrelease",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="road_tests",
                        to="records.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("passed", True), models.Q(("note", ""), _negated=True), _connector="OR"
                        ),
                        name="failed_road_test_says_what",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SecondCheck",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "how",
                    models.CharField(
                        choices=[
                            ("in_person", "in person"),
                            ("witness", "a trained person as witness"),
                            ("distance", "a trained person at a distance, by live video or photos"),
                            ("self", "self re-check after a pause, allowed beforehand"),
                        ],
                        default="in_person",
                        max_length=10,
                    ),
                ),
                ("passed", models.BooleanField()),
                (
                    "dry_steer",
                    models.BooleanField(verbose_name="dry steer on the floor, wheels chocked"),
                ),
                ("note", models.TextField(blank=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "leave",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="checks",
                        to="records.selfcheckleave",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="second_checks",
                        to="records.ticket",
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="second_checks",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("how", "self"), ("leave__isnull", False)),
                            models.Q(
                                models.Q(("how", "self"), _negated=True), ("leave__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="self_check_has_leave",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Finding",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "code",
                    models.CharField(
                        choices=[
                            ("no_play", "no play"),
                            ("tight", "tight"),
                            ("moved", "moved"),
                            ("play", "play"),
                            ("worn_out", "worn out"),
                            ("cracked", "cracked"),
                            ("bent", "bent"),
                            ("broken_or_missing", "broken or missing"),
                            ("boot_torn", "boot torn"),
                            ("not_fitted", "not fitted"),
                            ("not_reached", "not reached"),
                        ],
                        max_length=20,
                    ),
                ),
                ("method", models.CharField(blank=True, max_length=20)),
                ("turned", models.BooleanField(null=True)),
                ("degrees", models.FloatField(null=True)),
                ("play_typed", models.CharField(blank=True, max_length=40)),
                ("play_m", models.FloatField(null=True)),
                ("limit_m", models.FloatField(null=True)),
                ("limit_citation", models.CharField(blank=True, max_length=200)),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "not judged"),
                            ("past", "past the line"),
                            ("inside", "inside the line, but play: plan the part"),
                            (
                                "no_limit",
                                "no general figure: the maker's limit, or a person decides",
                            ),
                            ("unmeasured", "play, not measured"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "response",
                    models.CharField(
                        choices=[("note", "noted"), ("line", "ticket line"), ("hold", "hold")],
                        max_length=5,
                    ),
                ),
                (
                    "reason",
                    models.CharField(blank=True, max_length=200, verbose_name="reason not reached"),
                ),
                ("note", models.CharField(blank=True, max_length=400)),
                (
                    "why",
                    models.CharField(
                        choices=[
                            ("routine", "routine"),
                            ("retorque", "retorque"),
                            ("recheck", "recheck after repair"),
                            ("complaint", "complaint"),
                            ("damage", "after damage"),
                            ("annual", "annual"),
                            ("sweep", "sweep"),
                            ("bring_back", "bring-back"),
                        ],
                        max_length=12,
                    ),
                ),
                ("use_si", models.BigIntegerField(null=True)),
                ("due_on", models.DateField(null=True)),
                ("due_use_si", models.BigIntegerField(null=True)),
                ("rule_version", models.PositiveIntegerField(default=1)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="findings",
                        to="records.inspection",
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="findings",
                        to="records.joint",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "spec",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.torquespec",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["joint", "-occurred_at", "-id"],
                        name="records_fin_joint_i_b2d9e8_idx",
                    ),
                    models.Index(
                        fields=["code", "occurred_at"], name="records_fin_code_f8067b_idx"
                    ),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("inspection", "joint"), name="finding_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "code__in",
                                [
                                    "no_play",
                                    "tight",
                                    "moved",
                                    "play",
                                    "worn_out",
                                    "cracked",
                                    "bent",
                                    "broken_or_missing",
                                    "boot_torn",
                                    "not_fitted",
                                    "not_reached",
                                ],
                            )
                        ),
                        name="finding_code_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", "not_reached"), _negated=True),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="finding_not_reached_has_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", "tight"), _negated=True),
                            ("method", "wrench"),
                            _connector="OR",
                        ),
                        name="finding_tight_is_by_wrench",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("play_m__isnull", True), ("play_m__gte", 0), _connector="OR"
                        ),
                        name="finding_play_positive",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LineEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("data", models.JSONField()),
                ("rule_version", models.PositiveIntegerField(default=1)),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "done_by",
                    models.CharField(
                        blank=True, max_length=120, verbose_name="done by, if not by who enters it"
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "replaces",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="records.lineentry",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["occurred_at", "id"],
            },
        ),
        migrations.CreateModel(
            name="PartChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("fitted", models.BooleanField(default=True)),
                ("number", models.CharField(blank=True, max_length=60, verbose_name="part number")),
                ("lot", models.CharField(blank=True, max_length=60, verbose_name="lot")),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "came_from",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.partchange",
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="part_changes",
                        to="records.joint",
                    ),
                ),
                (
                    "line_entry",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.lineentry",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["joint", "-occurred_at"], name="records_par_joint_i_9338fe_idx"
                    ),
                    models.Index(fields=["lot"], name="records_par_lot_0e0625_idx"),
                ],
            },
        ),
        migrations.CreateModel(
            name="TicketLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                ("action", models.CharField(max_length=40)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("complete", "complete"),
                            ("closed", "closed"),
                            ("dropped", "dropped"),
                        ],
                        default="open",
                        max_length=10,
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                ("rule_version", models.PositiveIntegerField(default=1)),
                ("drop_reason", models.CharField(blank=True, max_length=200)),
                (
                    "entry",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.lineentry",
                    ),
                ),
                (
                    "from_finding",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="records.finding",
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="records.joint",
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="records.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["position", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(
                            models.Q(("state", "dropped"), _negated=True), ("joint__isnull", False)
                        ),
                        fields=("ticket", "joint", "action"),
                        name="line_once_at_joint",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(
                            models.Q(("state", "dropped"), _negated=True), ("joint__isnull", True)
                        ),
                        fields=("ticket", "action"),
                        name="line_once_on_vehicle",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["open", "complete", "closed", "dropped"])
                        ),
                        name="line_state_is_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TorqueReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("tool_in_date", models.BooleanField()),
                ("typed", models.CharField(max_length=40)),
                ("extension_typed", models.CharField(blank=True, max_length=40)),
                ("extension_m", models.FloatField(null=True)),
                ("torque_nm", models.FloatField()),
                (
                    "band",
                    models.CharField(
                        choices=[
                            ("below", "below the low side"),
                            ("inside", "within the figure"),
                            ("above", "above the high side"),
                            ("no_spec", "no figure on file"),
                        ],
                        max_length=8,
                    ),
                ),
                ("thread_condition", models.CharField(blank=True, max_length=14)),
                ("turned", models.BooleanField()),
                ("degrees", models.FloatField(null=True)),
                ("assembled", models.BooleanField(default=False)),
                ("new_fastener", models.BooleanField(null=True)),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "finding",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="torque",
                        to="records.finding",
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="torques",
                        to="records.joint",
                    ),
                ),
                (
                    "line_entry",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="torques",
                        to="records.lineentry",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "spec",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.torquespec",
                    ),
                ),
                (
                    "tool",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="records.torquetool",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["joint", "-occurred_at", "-id"],
                        name="records_tor_joint_i_6249f6_idx",
                    ),
                    models.Index(
                        fields=["tool", "occurred_at"], name="records_tor_tool_id_d93b07_idx"
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("torque_nm__gt", 0)), name="torque_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("extension_m__isnull", True), ("extension_m__gte", 0), _connector="OR"
                        ),
                        name="torque_extension_not_negative",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("line_entry__isnull", False),
                            ("finding__isnull", False),
                            _connector="OR",
                        ),
                        name="torque_has_an_origin",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ToeReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("as_left", models.BooleanField()),
                ("rear_typed", models.CharField(max_length=40)),
                ("front_typed", models.CharField(max_length=40)),
                ("rear_m", models.FloatField()),
                ("front_m", models.FloatField()),
                ("toe_m", models.FloatField()),
                ("span_m", models.FloatField(null=True)),
                ("height_m", models.FloatField(null=True)),
                ("ride_height", models.BooleanField(null=True)),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "line_entry",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="toes",
                        to="records.lineentry",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="toes",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["vehicle", "-occurred_at"], name="records_toe_vehicle_862b3e_idx"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="JointFitting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                (
                    "fitted",
                    models.CharField(
                        choices=[
                            ("fitted", "fitted"),
                            ("apart", "apart"),
                            ("not_fitted", "not fitted"),
                        ],
                        max_length=10,
                    ),
                ),
                ("reason", models.CharField(max_length=200, verbose_name="why")),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fittings",
                        to="records.joint",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fittings",
                        to="records.ticketline",
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
                "indexes": [
                    models.Index(
                        fields=["joint", "-occurred_at"], name="records_joi_joint_i_c7523c_idx"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("fitted__in", ["fitted", "apart", "not_fitted"])),
                        name="fitting_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="fitting_says_why"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Recheck",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("retorque", "retorque"),
                            ("look", "look"),
                            ("rack", "alignment on a rack"),
                            ("wheel_nuts", "wheel nuts"),
                            ("cracks", "cracks"),
                            ("dry_steer", "dry steer"),
                            ("routine", "routine"),
                            ("annual", "annual"),
                            ("sweep", "sweep"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("owed", "owed"),
                            ("missed", "missed, still owed"),
                            ("done", "done"),
                            ("dropped", "no longer owed"),
                        ],
                        default="owed",
                        max_length=8,
                    ),
                ),
                ("methods", models.JSONField(default=list, verbose_name="methods that suffice")),
                ("ladder", models.CharField(max_length=60)),
                ("rung", models.PositiveSmallIntegerField(default=0)),
                ("rule_version", models.PositiveIntegerField(default=1)),
                ("started_at", models.DateTimeField()),
                ("start_use_si", models.BigIntegerField(null=True)),
                ("not_before", models.DateTimeField(null=True)),
                ("not_before_use_si", models.BigIntegerField(null=True)),
                ("due_on", models.DateField(null=True)),
                ("due_use_si", models.BigIntegerField(null=True)),
                ("use_on_low", models.DateField(null=True)),
                ("use_on", models.DateField(null=True)),
                ("use_on_high", models.DateField(null=True)),
                ("falls_on", models.DateField()),
                (
                    "road_test",
                    models.BooleanField(default=False, verbose_name="asks for a road test"),
                ),
                ("hold_at_twice", models.BooleanField(default=False)),
                (
                    "fell_due_at",
                    models.DateTimeField(
                        null=True, verbose_name="the moment it fell due, once missed"
                    ),
                ),
                ("done_at", models.DateTimeField(null=True)),
                ("drop_reason", models.CharField(blank=True, max_length=200)),
                (
                    "assigned_to",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rechecks",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "done_by_finding",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="did_rechecks",
                        to="records.finding",
                    ),
                ),
                (
                    "follows",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.recheck"
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rechecks",
                        to="records.joint",
                    ),
                ),
                (
                    "looked_by_finding",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="looked_rechecks",
                        to="records.finding",
                    ),
                ),
                (
                    "made_by_finding",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="made_rechecks",
                        to="records.finding",
                    ),
                ),
                (
                    "done_by_line",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="did_rechecks",
                        to="records.ticketline",
                    ),
                ),
                (
                    "made_by_line",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.ticketline",
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rechecks",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["falls_on", "id"],
                "indexes": [
                    models.Index(
                        fields=["state", "falls_on", "id"], name="records_rec_state_c1a291_idx"
                    ),
                    models.Index(
                        fields=["vehicle", "state", "falls_on"],
                        name="records_rec_vehicle_9f67bc_idx",
                    ),
                    models.Index(
                        fields=["joint", "state", "falls_on"], name="records_rec_joint_i_53caf4_idx"
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["owed", "missed", "done", "dropped"])),
                        name="recheck_state_is_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "done"), _negated=True),
                            ("done_at__isnull", False),
                            _connector="OR",
                        ),
                        name="recheck_done_has_moment",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("due_on__isnull", False),
                            ("due_use_si__isnull", False),
                            _connector="OR",
                        ),
                        name="recheck_has_a_limit",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(
                            ("joint__isnull", False), ("state__in", ["owed", "missed"])
                        ),
                        fields=("joint", "ladder"),
                        name="recheck_one_live_at_joint",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(
                            ("joint__isnull", True), ("state__in", ["owed", "missed"])
                        ),
                        fields=("vehicle", "ladder"),
                        name="recheck_one_live_on_vehicle",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RecheckDrive",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "uid",
                    models.UUIDField(
                        default=fleet.records.base.new_uid, editable=False, unique=True
                    ),
                ),
                ("occurred_at", models.DateTimeField(verbose_name="when it happened")),
                (
                    "received_at",
                    models.DateTimeField(
                        default=django.utils.timezone.now, verbose_name="when the server heard"
                    ),
                ),
                ("driver", models.CharField(max_length=120, verbose_name="driver")),
                ("place", models.CharField(max_length=160, verbose_name="where it was driven")),
                ("speeds_typed", models.CharField(max_length=120, verbose_name="speeds, in steps")),
                ("speeds_m_s", models.JSONField(default=list)),
                ("passed", models.BooleanField()),
                ("note", models.TextField(blank=True)),
                ("use_si", models.BigIntegerField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "recheck",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="drives",
                        to="records.recheck",
                    ),
                ),
                (
                    "tablet",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.tablet"
                    ),
                ),
            ],
            options={
                "ordering": ["-occurred_at", "-id"],
            },
        ),
        migrations.CreateModel(
            name="JointState",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "mark",
                    models.CharField(
                        choices=[
                            ("tight", "tight by the wrench"),
                            ("no_play", "no play by look or feel"),
                            ("moved", "moved under the wrench"),
                            ("play", "play"),
                            ("bad", "worn out, cracked, bent, broken or missing"),
                            ("unknown", "never looked at"),
                        ],
                        default="unknown",
                        max_length=10,
                    ),
                ),
                ("last_look_at", models.DateTimeField(null=True)),
                ("last_look_use_si", models.BigIntegerField(null=True)),
                ("last_turned_at", models.DateTimeField(null=True)),
                ("last_turned_use_si", models.BigIntegerField(null=True)),
                ("loosenings", models.PositiveIntegerField(default=0)),
                ("interval_from", models.DateTimeField(null=True)),
                ("interval_from_use_si", models.BigIntegerField(null=True)),
                ("interval_to_on", models.DateField(null=True)),
                ("interval_to_use_si", models.BigIntegerField(null=True)),
                (
                    "joint",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="state",
                        to="records.joint",
                    ),
                ),
                (
                    "last_finding",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.finding",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.partchange",
                    ),
                ),
                (
                    "due_recheck",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.recheck",
                    ),
                ),
                (
                    "last_torque",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.torquereading",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Hold",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=fleet.records.base.new_uid, unique=True)),
                (
                    "reason",
                    models.CharField(
                        choices=[
                            ("complaint", "complaint"),
                            ("finding", "finding"),
                            ("missed", "recheck missed by twice its interval"),
                            ("apart", "joint taken apart"),
                            ("used_while_held", "used while held"),
                            ("person", "placed by a person"),
                            ("lapsed", "release lapsed"),
                        ],
                        max_length=16,
                    ),
                ),
                ("text", models.CharField(max_length=300, verbose_name="why")),
                ("placed_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(null=True)),
                (
                    "complaint",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="records.complaint",
                    ),
                ),
                (
                    "finding",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.finding"
                    ),
                ),
                (
                    "lifted_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "joint",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.joint"
                    ),
                ),
                (
                    "recheck",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, to="records.recheck"
                    ),
                ),
                (
                    "lifted_by_check",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.secondcheck",
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="records.ticket",
                    ),
                ),
                (
                    "vehicle",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="records.vehicle",
                    ),
                ),
            ],
            options={
                "ordering": ["-placed_at", "-id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("lifted_at", None)),
                        fields=["vehicle"],
                        name="hold_open",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("lifted_at__isnull", True),
                                ("lifted_by__isnull", True),
                                ("lifted_by_check__isnull", True),
                            ),
                            models.Q(
                                ("lifted_at__isnull", False),
                                ("lifted_by__isnull", False),
                                ("lifted_by_check__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="hold_lifted_by_a_check",
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="Finding",
            name="due_recheck",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="records.recheck",
            ),
        ),
        migrations.AddField(
            model_name="LineEntry",
            name="line",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="entries",
                to="records.ticketline",
            ),
        ),
        migrations.AddField(
            model_name="Recheck",
            name="driven_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="records.recheckdrive",
            ),
        ),
    ]
