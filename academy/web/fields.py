"""Form fields that read what people write and answer with a sentence they can act on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from academy.web.numbers import Unreadable, read_figure, write_figure
from academy.web.tokens import TOKEN_PATTERN, new_token
from academy.web.widgets import TIME_ATTRS, Chips, Levels, MomentInput, UnitInput
from academy.web.words import LEVEL_WORDS, ZONE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


@dataclass(frozen=True)
class Unit:
    """How people write a unit, and what to say when they give another one."""

    spellings: tuple[str, ...]
    says: Any


UNITS = {
    "g": Unit(
        ("g", "gr", "gram", "grams", "gramme", "grammes"),
        _("This line is weighed. Give grams, for example %(example)s."),
    ),
    "ml": Unit(
        ("ml", "millilitre", "millilitres"),
        _("This is a volume. Give millilitres, for example %(example)s."),
    ),
    "%": Unit(
        ("%", "per cent", "percent"),
        _("This is a strength or a share. Give per cent, for example %(example)s."),
    ),
    "vol": Unit(
        ("vol", "vols", "volume", "volumes"),
        _("Give the strength in volume, for example %(example)s."),
    ),
    "min": Unit(
        ("min", "mins", "minute", "minutes"),
        _("This is a length of time. Give minutes, for example %(example)s."),
    ),
    "h": Unit(
        ("h", "hr", "hrs", "hour", "hours"),
        _("This is a length of time. Give hours, for example %(example)s."),
    ),
    "mm": Unit(
        ("mm", "millimetre", "millimetres"),
        _("This is a length. Give millimetres, for example %(example)s."),
    ),
    "cm²": Unit(
        ("cm²", "cm2", "sq cm", "square centimetres"),
        _("This is an area. Give square centimetres, for example %(example)s."),
    ),
    "cm": Unit(
        ("cm", "centimetre", "centimetres"),
        _("This is a length. Give centimetres, for example %(example)s."),
    ),
}


class DecimalField(forms.Field):
    """A figure with comma or point; a second mark, letters or a unit are refused with a sentence.

    `places` is the most decimals that are taken, `example` a figure that is not the answer.
    """

    default_error_messages = {
        "required": _("No figure yet. Give one, for example %(example)s."),
        "text": _("This is not a figure. Give digits, for example %(example)s."),
        "marks": _("Two marks in one figure. Use one comma or point, for example %(example)s."),
        "unit": _("Give the figure alone, without “%(rest)s”, for example %(example)s."),
        "places": _("Too fine: at most %(places)s decimals here, for example %(example)s."),
        "low": _("Too low. The least that is taken here is %(limit)s."),
        "high": _("Too high. The most that is taken here is %(limit)s."),
    }

    def __init__(
        self,
        *,
        min_value: Decimal | int | None = None,
        max_value: Decimal | int | None = None,
        places: int = 2,
        example: str = "1.5",
        **options: Any,
    ) -> None:
        options.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        )
        self.min_value, self.max_value = min_value, max_value
        self.places, self.example = places, example
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        return write_figure(value) if isinstance(value, Decimal | int | float) else value

    def clean(self, value: Any) -> Decimal | None:
        text = "" if value is None else str(value)
        if not text.strip():
            if self.required:
                raise self._wrong("required")
            return None
        try:
            figure, rest = read_figure(text)
        except Unreadable as why:
            raise self._wrong(why.reason) from why
        self._check_unit(rest)
        self._check_size(figure)
        return figure

    def _check_unit(self, rest: str) -> None:
        if rest:
            raise self._wrong("unit", rest=rest)

    def _check_size(self, figure: Decimal) -> None:
        exponent = figure.normalize().as_tuple().exponent
        if isinstance(exponent, int) and -exponent > self.places:
            raise self._wrong("places", places=self.places)
        if self.min_value is not None and figure < self.min_value:
            raise self._wrong("low", limit=self._with_unit(self.min_value))
        if self.max_value is not None and figure > self.max_value:
            raise self._wrong("high", limit=self._with_unit(self.max_value))

    def _with_unit(self, figure: Decimal | int) -> str:
        return write_figure(Decimal(figure))

    def _wrong(self, code: str, **given: Any) -> ValidationError:
        words = {"example": self.example, **given}
        return ValidationError(self.error_messages[code], code=code, params=words)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != str(data or "").strip()


class UnitField(DecimalField):
    """A figure of one of `UNITS`. The unit may be typed too ("45 g"); another unit is refused."""

    def __init__(self, unit: str, **options: Any) -> None:
        self.unit = unit
        self.unit_reading = UNITS[unit]
        options.setdefault("example", f"45 {unit}")
        options.setdefault("widget", UnitInput(unit))
        super().__init__(**options)

    def _check_unit(self, rest: str) -> None:
        if rest and rest.casefold().rstrip(".") not in self.unit_reading.spellings:
            words = {"example": self.example}
            raise ValidationError(self.unit_reading.says, code="other_unit", params=words)

    def _with_unit(self, figure: Decimal | int) -> str:
        return f"{super()._with_unit(figure)} {self.unit}"


class LevelField(forms.TypedChoiceField):
    """A level in boxes: 0-4 with the words of the module unless other `words` are given.

    `pass_from` draws the pass line before that level. Gives an int, or None while it is open.
    """

    widget = Levels

    def __init__(
        self,
        *,
        words: Mapping[int, Any] = LEVEL_WORDS,
        pass_from: int | None = 3,
        **options: Any,
    ) -> None:
        options.setdefault("widget", Levels(pass_from))
        super().__init__(choices=list(words.items()), coerce=int, empty_value=None, **options)


class ZonesField(forms.MultipleChoiceField):
    """Zones of the head as chips; `zones` limits them to those of the module."""

    widget = Chips

    def __init__(self, *, zones: Iterable[Any] | None = None, **options: Any) -> None:
        keys = ZONE_WORDS if zones is None else [str(getattr(z, "value", z)) for z in zones]
        super().__init__(choices=[(key, ZONE_WORDS[key]) for key in keys], **options)


class DayField(forms.DateField):
    """A day; the native picker sends 2026-11-25, people also write 25.11.2026 or 25 Nov 2026."""

    default_error_messages = {
        "required": _("No day yet. Choose one."),
        "invalid": _("This is not a day. Write it like 25 Nov 2026."),
        "future": _("This day has not come yet. Choose today or an earlier day."),
        "past": _("This day is over. Choose today or a later day."),
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "input_formats", ["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d %b %Y", "%d %B %Y"]
        )
        options.setdefault("widget", forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
        super().__init__(**options)


class TimeField(forms.TimeField):
    """A time of day in 24 hours: 14:05, 14.05, 1405 and 9:30 are read."""

    default_error_messages = {
        "required": _("No time yet. Give one, for example 14:05."),
        "invalid": _("This is not a time of day. Write it in 24 hours, for example 14:05."),
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TimeInput(format="%H:%M", attrs=TIME_ATTRS))
        super().__init__(**options)

    def to_python(self, value: Any) -> time | None:
        if isinstance(value, str) and value.strip():
            found = re.fullmatch(r"\s*(\d{1,2})[:.h]?(\d{2})(:\d{2}(\.\d+)?)?\s*", value)
            if found is None:
                raise ValidationError(self.error_messages["invalid"], code="invalid")
            value = f"{found[1]}:{found[2]}"
        return super().to_python(value)


class MomentField(forms.MultiValueField):
    """A day and a time in the active time zone (the academy's); gives an aware datetime."""

    widget = MomentInput
    default_error_messages = {
        "required": _("Give the day and the time."),
        "incomplete": _("Give both the day and the time."),
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", MomentInput())
        super().__init__((DayField(), TimeField()), require_all_fields=True, **options)

    def compress(self, data_list: list[Any]) -> datetime | None:
        if not data_list:
            return None
        day, clock = data_list
        if not isinstance(day, date) or not isinstance(clock, time):
            raise ValidationError(self.error_messages["incomplete"], code="incomplete")
        return forms.utils.from_current_timezone(datetime.combine(day, clock))


class TokenField(forms.CharField):
    """The key of one submit, so that a double submit makes one row.

    The server puts a fresh one into each page; static/js/client_key.js makes another at each
    submit, because a page kept for work without signal would send its key twice.
    """

    widget = forms.HiddenInput
    default_error_messages = {
        "invalid": _("This page is too old to be sent. Load it again; what you typed is below."),
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("initial", new_token)
        options.setdefault("widget", forms.HiddenInput(attrs={"data-client-key": ""}))
        super().__init__(**options)

    def bound_data(self, data: Any, initial: Any) -> Any:  # noqa: ARG002
        return data if re.fullmatch(TOKEN_PATTERN, str(data or "")) else new_token()

    def clean(self, value: Any) -> str:
        text = str(value or "")
        if not re.fullmatch(TOKEN_PATTERN, text):
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return text
