from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def runs_of_one_yard(apps: Any, schema_editor: Any) -> None:
    """Every run up to now was of the one yard that it was asked from."""
    covered = apps.get_model("records", "PlanRunYard").objects
    covered.bulk_create(
        covered.model(
            run=run,
            yard_id=run.yard_id,
            first=run.first,
            at_work=run.state in ("waiting", "running"),
        )
        for run in apps.get_model("records", "PlanRun").objects.order_by("pk")
    )


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0012_planning"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="planrun",
            name="plan_run_one_at_work",
        ),
        migrations.CreateModel(
            name="PlanRunYard",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("first", models.DateField(verbose_name="first day")),
                ("at_work", models.BooleanField(default=True)),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="over",
                        to="records.planrun",
                    ),
                ),
                (
                    "yard",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.yard",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.UniqueConstraint(fields=("run", "yard"), name="plan_run_yard_once"),
                    models.UniqueConstraint(
                        condition=models.Q(("at_work", True)),
                        fields=("yard",),
                        name="plan_run_one_at_work",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="planrun",
            name="yards",
            field=models.ManyToManyField(
                related_name="planned_by", through="records.PlanRunYard", to="records.yard"
            ),
        ),
        migrations.RunPython(runs_of_one_yard, migrations.RunPython.noop, elidable=True),
    ]
