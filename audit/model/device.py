"""Device type: what a model of node or gateway can be set to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cached_property
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from audit.errors import nearest
from audit.model.base import Name, Scalar, SettingName, Written, check_limits
from audit.model.battery import Battery
from audit.model.radio import Message
from audit.model.roles import NUMBERS, ROLES, SWITCHES, TRIALS, is_role

Kind = Literal["integer", "decimal", "option", "text", "flag", "secret"]
Where = Literal["display", "label", "gateway", "host", "document"]
READ_AT_WORDS: dict[Where, str] = {
    "display": "at the display", "label": "on the label", "gateway": "at the gateway", "host": "at the host",
    "document": "in a document",
}  # fmt: skip
"""Where a setting is read, in words."""
AT_THE_DEVICE: tuple[Where, ...] = ("display", "label")
"""Places that can be read by somebody standing at the device."""


class Setting(Written):
    """One named parameter of a device: its kind, limits, default and meaning."""

    name: SettingName
    """The name in plans, readbacks and reports."""
    kind: Kind
    """`integer` and `decimal` are compared as numbers, `text` as an identifier (07 is not 7)."""
    label: str = ""
    """What the device's display or export calls it; also accepted as a column heading."""
    role: str = ""
    """What the setting means to the rules; see `asfound rules --roles`."""
    input: str = "main"
    """The measuring input it belongs to, if the device has several."""
    unit: str = ""
    """The unit in which planned values are written and which the device shows.

    For a setpoint or deadband, `%` is a percentage of its range, unless that is in % too.
    """
    low: float | None = None
    """The lowest value that the device accepts, for a number or an option."""
    high: float | None = None
    """The highest value that the device accepts."""
    step: Annotated[float, Field(gt=0)] | None = None
    """Display resolution: the smallest change that the display shows. A decimal needs it."""
    digits: Annotated[int, Field(ge=1, le=40)] | None = None
    """Width of the display field: digits of a number, without point and sign, or characters of a text."""
    options: tuple[str, ...] = ()
    """The values of an option, which needs them, in the order in which the display steps through them."""
    default: Scalar | None = None
    """Factory default."""
    read_at: Where = "display"
    """Where a person reads it: at the display, on the label, at the gateway, at the host or in a document."""
    where: str = ""
    """How to get there, for instance `RADIO > CH`."""
    required: bool = True
    """Whether it must be read back: for a handover if it is planned, for drift if the baseline has it."""
    critical: bool = False
    """Whether leaving it unread is an error at any gate."""

    @property
    def numeric(self) -> bool:
        """Whether its values are numbers. Those of an option are texts, even if they look like numbers."""
        return self.kind in ("integer", "decimal")

    @property
    def display_step(self) -> Decimal:
        """The smallest change that the display shows, in its unit; 1 if none is given."""
        return Decimal(str(self.step)) if self.step else Decimal(1)

    @property
    def whole_options(self) -> list[int]:
        """Its options that are whole numbers, rising."""
        return sorted(int(option) for option in self.options if option.isdecimal())

    def __repr_args__(self) -> Iterator[tuple[str | None, object]]:
        """Leave out a factory access code when the setting is printed because of a fault."""
        hide = self.kind == "secret"
        return ((name, value) for name, value in super().__repr_args__() if not (hide and name == "default"))

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Self:
        name = f"setting {self.name!r}"
        if self.role and not is_role(self.role):
            raise ValueError(f"{name} has the unknown role {self.role!r} -- {nearest(self.role, ROLES)}")
        if self.kind == "decimal" and self.step is None:
            raise ValueError(
                f"{name} is a decimal and needs its display resolution -- give it, for instance step: 0.1"
            )
        if (self.kind == "option") != bool(self.options):
            raise ValueError(
                f"{name} is of kind {self.kind} -- give `options` with kind option, and only with that"
            )
        if self.role == "access_code" and self.kind != "secret":
            raise ValueError(f"{name} holds an access code -- write `kind: secret`")
        if self.role in SWITCHES and self.kind != "flag":
            raise ValueError(f"{name} has the role {self.role!r}, which is on or off -- write `kind: flag`")
        counted = self.numeric or (self.role == "address" and self.kind == "option")
        if self.role in (*NUMBERS, "address") and not counted:
            raise ValueError(
                f"{name} has the role {self.role!r}, which is a number -- write "
                "`kind: decimal` with a `step`, or `kind: integer`"
            )
        odd = [option for option in self.options if option.casefold() not in TRIALS]
        if self.role == "default_refused" and odd:
            raise ValueError(
                f"{name} has the option {odd[0]!r}, but rules know only {', '.join(TRIALS)} -- "
                "write one of these; a mapping can translate others under `values`"
            )
        if self.kind in ("text", "flag", "secret") and not (self.low is self.high is self.step is None):
            raise ValueError(
                f"{name} is of kind {self.kind} -- give `low`, `high` and `step` only with a kind of number"
            )
        check_limits(f"{name}: low", self.low, "high", self.high)
        return self


class Sensor(Written):
    """What a measuring input can measure."""

    low: float
    """The lowest range value, in the unit of the range settings."""
    high: float
    """The highest range value."""
    smallest_span: float | None = None
    """The smallest difference allowed between the upper and the lower range value."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        check_limits("low", self.low, "high", self.high)
        return self


class DeviceType(Written):
    """A model of node or gateway."""

    asfound: Literal["device-type/1"]
    """Marks the file as a device type, format 1."""
    name: Name
    """The name by which plans refer to it."""
    title: str = ""
    """What it is, in words."""
    device: Literal["node", "gateway"] = "node"
    """Whether it joins a network or is the gateway of one."""
    moves_outputs: bool = False
    """Whether it drives valves, pumps or gates: if so, reports repeat the caution."""
    hazardous_area: bool = False
    """Whether it may be in a hazardous area: if so, reports repeat the caution."""
    include: tuple[str, ...] = ()
    """Files of kind device-settings, relative to this file, with settings shared by several device types. A
    setting of the same name here, or in a later file, replaces a shared one."""
    sensors: dict[str, Sensor] = {}
    """What each measuring input can measure; the only input of a device is called `main`."""
    sensitivity_dbm: dict[str, Annotated[float, Field(ge=-200, le=0)]] = {}
    """The weakest signal received reliably, in dBm, for each air rate, written as in its setting."""
    message: Message | None = None
    """What it sends for a report; if left out, airtime, battery life and alarm times are not calculated."""
    battery: Battery | None = None
    """Its battery and what that supplies; if left out, battery life is not calculated."""
    settings: tuple[Setting, ...] = ()
    """The settings, in the order in which the device shows them."""

    @model_validator(mode="after")
    def _names_and_roles_once(self) -> Self:
        check_once(self.settings)
        return self

    @model_validator(mode="after")
    def _sensitivity_at_air_rates(self) -> Self:
        for setting in self.by_role("air_rate"):
            for rate in self.sensitivity_dbm if setting.options else ():
                if rate not in setting.options:
                    raise ValueError(
                        f"sensitivity_dbm has the air rate {rate!r}, which {setting.name!r} does not have -- "
                        f"{nearest(rate, setting.options)}"
                    )
        return self

    def setting(self, name: str) -> Setting | None:
        """Return the setting called `name`, or None."""
        return self.by_name.get(name)

    @cached_property
    def by_name(self) -> Mapping[str, Setting]:
        """Name → the setting."""
        return {setting.name: setting for setting in self.settings}

    @cached_property
    def first_by_role(self) -> Mapping[str, Setting]:
        """Role → the first setting that has it, for callers that ask about many devices."""
        return {setting.role: setting for setting in reversed(self.settings)}

    def is_called(self, text: str) -> bool:
        """Return whether a text is its name or its title, in any case of letters."""
        return text.casefold() in (self.name.casefold(), self.title.casefold())

    def by_role(self, role: str) -> Iterator[Setting]:
        """Yield the settings with this role, one for each measuring input that has it."""
        return (s for s in self.settings if s.role == role)


class DeviceSettings(Written):
    """Settings that several device types share; these name the file under `include`."""

    asfound: Literal["device-settings/1"]
    """Marks the file as shared settings, format 1."""
    title: str = ""
    settings: tuple[Setting, ...]


def check_once(settings: tuple[Setting, ...]) -> None:
    """Raise ValueError if a name is given twice, or a role twice for the same input."""
    names: set[str] = set()
    roles: dict[tuple[str, str], str] = {}
    for setting in settings:
        if setting.name in names:
            raise ValueError(f"setting {setting.name!r} is given twice -- keep one of them")
        names.add(setting.name)
        first = roles.setdefault((setting.role, setting.input), setting.name)
        if setting.role and first != setting.name:
            raise ValueError(
                f"settings {first!r} and {setting.name!r} both have the role "
                f"{setting.role!r} for input {setting.input!r} -- give them different roles or inputs"
            )
