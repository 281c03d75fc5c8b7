"""How an answer of the bench arithmetic looks, wherever a document carries one."""

from typing import Any

from rest_framework import serializers

from fleet.reads.reckoning.answers import Answer


class ReckonedSaidOut(serializers.Serializer[Any]):
    """A sentence with its stable code; a grave one wants a person to act."""

    code = serializers.CharField()
    text = serializers.CharField()
    grave = serializers.BooleanField()


class ReckonedAmountOut(serializers.Serializer[Any]):
    """A number as it is written, its unit, and as a plain number where it is one."""

    shown = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField(allow_null=True)


class ReckonedFigureOut(serializers.Serializer[Any]):
    """One figure, what it was judged against, and where both are from."""

    key = serializers.CharField()
    title = serializers.CharField(source="label")
    amounts = ReckonedAmountOut(many=True)
    limit = serializers.CharField()
    origin = serializers.CharField()
    grave = serializers.BooleanField()


class ReckonedInputOut(serializers.Serializer[Any]):
    """What was typed into a field, and what it was taken for."""

    field = serializers.CharField()
    title = serializers.CharField(source="label")
    typed = serializers.CharField()
    read_as = serializers.CharField()


class ReckonedColumnOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    title = serializers.CharField(source="label")
    unit = serializers.CharField()


class ReckonedTableOut(serializers.Serializer[Any]):
    """Rows of figures that belong together, as written."""

    key = serializers.CharField()
    title = serializers.CharField()
    columns = ReckonedColumnOut(many=True)
    rows = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    limit = serializers.CharField()
    origin = serializers.CharField()


class ReckonedLineOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    points = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()))


class ReckonedPlotOut(serializers.Serializer[Any]):
    """What is to be drawn, over two named axes."""

    key = serializers.CharField()
    title = serializers.CharField()
    across = serializers.CharField()
    upward = serializers.CharField()
    lines = ReckonedLineOut(many=True)
    dots = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()))


class ReckonedOut(serializers.Serializer[Answer]):
    """What a calculator says. The manufacturer's service information governs."""

    calculator = serializers.CharField()
    verdict = ReckonedSaidOut()
    refused = serializers.BooleanField(
        help_text="Whether the arithmetic does not hold here; `verdict` says why."
    )
    figures = ReckonedFigureOut(many=True)
    understood = ReckonedInputOut(many=True)
    cautions = ReckonedSaidOut(many=True)
    tables = ReckonedTableOut(many=True)
    plots = ReckonedPlotOut(many=True)
