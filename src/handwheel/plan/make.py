"""Files, read and validated, made into a plan: resolved and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from handwheel.models.job import Job
from handwheel.models.recipe import Recipe
from handwheel.models.shop import Shop
from handwheel.plan.findings import check
from handwheel.plan.resolve import Plan, resolve

__all__ = ["make_plan"]


def make_plan(job: Job, shop: Shop, library: Mapping[str, Recipe], folder: str = "") -> Plan:
    """Resolve a job with a shop and recipes, and find what will go wrong."""
    plan = resolve(job, shop, library, folder)
    return replace(plan, findings=check(plan))
