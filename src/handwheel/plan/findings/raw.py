"""What the raw piece has not got: metal where a bore is to be, a bore where jaws are to hold."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.models.features import Bore
from handwheel.plan.finding import Finding
from handwheel.plan.findings.holding import turned_setups
from handwheel.plan.findings.part import at_feature, of_feature, of_stock
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK


@rule
def bore_has_metal_to_cut(plan: Plan) -> Iterator[Finding]:
    """The bore of a tube is smaller than what is to be bored in it."""
    if plan.job.stock.bore_diameter is None:
        return
    raw = of_stock(plan.job, "bore_diameter")
    for bore in (one for one in plan.job.features if isinstance(one, Bore)):
        own = of_feature(bore, "diameter")
        if own.number <= raw.number + SLACK:
            yield at_feature(
                plan,
                bore,
                "no-stock-in-bore",
                "{bore} is to be {own}; the stock is hollow to {raw} already",
                "there is no stock there: it will not clean up, and what it has to fit will not hold",
                "measure the stock again, or take a piece with a smaller bore",
                key="diameter",
                values={"bore": bore.id, "own": own, "raw": raw},
            )


@rule
def jaws_go_into_a_bore(plan: Plan) -> Iterator[Finding]:
    """Jaws that hold raw stock from inside have a raw bore to go into."""
    stock = plan.job.stock
    named = {one.id for one in plan.job.features}
    for setup, _, operation in turned_setups(plan):
        if setup.jaws != "inside" or setup.gripped_on in named or not _RAW.search(setup.gripped_on):
            continue
        outside = _OUTSIDE.search(setup.gripped_on) is not None
        if stock.bore_diameter is not None and not outside:
            continue
        yield at(
            operation,
            "gripped-inside-solid-stock",
            "setup {setup} grips {words} from inside"
            if outside
            else "setup {setup} grips {words} from inside; the stock has no bore",
            "the jaws have nothing to press against: the piece is thrown as the spindle starts",
            'say jaws = "outside", or name the bore that the jaws go into',
            keys=("setups", setup.id, "jaws"),
            values={"setup": setup.id, "words": setup.gripped_on},
        )


_RAW = re.compile(r"\b(raw|sawn|stock|rough|black|bar)\b", re.IGNORECASE)
_OUTSIDE = re.compile(r"\boutside\b", re.IGNORECASE)
