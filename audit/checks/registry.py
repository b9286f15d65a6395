"""The check kinds by the names that rule files use."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from audit.checks import (
    access_code,
    alarm_authority,
    change_record,
    code_age,
    code_marks,
    deadband_workable,
    device_drift,
    drift,
    equals_gateway,
    equals_plan,
    equals_setting,
    evidence,
    expression,
    figure,
    identity,
    in_order,
    networks_alike,
    no_overlap,
    not_factory_default,
    one_of,
    planned_beside,
    read_back,
    smallest_span,
    swapped_pair,
    unique,
    within_capacity,
    within_limits,
    within_one,
    word_order,
)
from audit.checks.context import Context
from audit.model.finding import Outcome

CHECKS: dict[str, Callable[[Context, Any], Outcome]] = {
    "access-code": access_code.run,
    "alarm-authority": alarm_authority.run,
    "change-record": change_record.run,
    "code-age": code_age.run,
    "code-marks": code_marks.run,
    "deadband-workable": deadband_workable.run,
    "device-drift": device_drift.run,
    "drift": drift.run,
    "equals-gateway": equals_gateway.run,
    "equals-plan": equals_plan.run,
    "equals-setting": equals_setting.run,
    "evidence": evidence.run,
    "expression": expression.run,
    "figure": figure.run,
    "identity": identity.run,
    "in-order": in_order.run,
    "networks-alike": networks_alike.run,
    "no-overlap": no_overlap.run,
    "not-factory-default": not_factory_default.run,
    "one-of": one_of.run,
    "planned-beside": planned_beside.run,
    "read-back": read_back.run,
    "smallest-span": smallest_span.run,
    "swapped-pair": swapped_pair.run,
    "unique": unique.run,
    "within-capacity": within_capacity.run,
    "within-limits": within_limits.run,
    "within-one": within_one.run,
    "word-order": word_order.run,
}
"""Every kind but those of `checking.NOT_OF_THE_SITE`, which look at findings, waivers and the sample."""
