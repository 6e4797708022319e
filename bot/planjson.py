"""A plan as JSON for machines; `plan --json`. Instants are ISO 8601 with the site's offset.

`tasks` holds every single job and every step of every load, lot and batch, so that a script finds
the second sear of load A as load, step and batch.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from bot.askjson import Json, Words, number_of, unit_name
from bot.pictures.bars import jobs_of
from core.model import Bottleneck, Buy, Call, Finding, Load, Make, Plan, StepRun, Task
from core.scaling.measures import in_unit


def plan_json(plan: Plan, calls: Sequence[Call], words: Words, zone: tzinfo = UTC) -> Json:
    """Return a plan with its calls; what is absent is null."""
    jobs = sorted(jobs_of(plan), key=lambda pair: (pair[1].start, pair[1].end, _id(pair[1])))
    return {
        "heads": plan.heads,
        "letter": plan.letter,
        "bottleneck": _bottleneck(plan.bottleneck, words),
        "loads": [_load(load, zone) for load in plan.loads],
        "tasks": [_job(job, load, zone) for load, job in jobs],
        "make": [_make(make) for make in plan.make],
        "fits": plan.fits,
        "fixes": [words(fix) for fix in plan.fixes],
        "calls": [_call(call, words, zone) for call in calls],
        "buy": [_buy(buy) for buy in plan.buy],
        "findings": [_finding(finding, words, zone) for finding in plan.findings],
    }


def instant(at: datetime, zone: tzinfo) -> str:
    """Return an instant as ISO 8601 with the zone's offset.

    Examples
    --------
    >>> instant(datetime(2026, 6, 13, 13, tzinfo=UTC), UTC)
    '2026-06-13T13:00:00+00:00'
    """
    return at.astimezone(zone).isoformat()


def _id(job: StepRun | Task) -> str:
    return job.key if isinstance(job, StepRun) else job.id


def _bottleneck(found: Bottleneck | None, words: Words) -> Json | None:
    if found is None:
        return None
    return {
        "station": found.station,
        "text": words(found.text),
        "per_hour": number_of(found.per_hour),
        "demand_per_hour": number_of(found.demand_per_hour),
    }


def _load(load: Load, zone: tzinfo) -> Json:
    return {
        "id": load.id,
        "dish": load.dish,
        "count": load.count,
        "station": load.station,
        "on": instant(load.on, zone),
        "off": instant(load.off, zone),
        "ready": instant(load.ready, zone),
        "needed_by": instant(load.needed_by, zone),
        "slack_min": number_of(load.slack_min),
        "hold_min": number_of(load.hold_min),
        "crew": list(load.crew),
    }


def _job(job: StepRun | Task, load: Load | None, zone: tzinfo) -> Json:
    """Return a task; `load` is the id of the load it belongs to, `batch` null for all of it."""
    if isinstance(job, StepRun):
        batch = None if load and job.unit == load.name else job.unit
    else:
        batch = job.batch
    return {
        "id": _id(job),
        "do": job.do,
        "dish": job.dish,
        "load": load.id if load else job.load,
        "step": job.step,
        "batch": batch,
        "count": job.count,
        "station": job.station,
        "start": instant(job.start, zone),
        "end": instant(job.end, zone),
        "crew": list(job.crew),
    }


def _make(make: Make) -> Json:
    return {
        "item": make.item,
        "qty": number_of(make.qty),
        "unit": unit_name(make.unit),
        "of": make.of or None,
    }


def _call(call: Call, words: Words, zone: tzinfo) -> Json:
    return {
        "at": instant(call.at, zone),
        "to": list(call.to),
        "text": words(call.line),
        "sound": int(call.sound),
        "key": call.key,
    }


def _buy(buy: Buy) -> Json:
    """Return one line of the buy list; a pack's size is in the line's own unit."""
    packs = []
    for pack, count in buy.packs:
        size = in_unit(buy.item, pack.amount, pack.unit, buy.unit)
        packs.append({"size": number_of(pack.amount if size is None else size), "count": count})
    return {
        "item": buy.item,
        "need": number_of(buy.need),
        "unit": unit_name(buy.unit),
        "packs": packs,
        "leftover": number_of(buy.leftover),
    }


def _finding(finding: Finding, words: Words, zone: tzinfo) -> Json:
    """Return a finding; only safety has a verdict."""
    verdict = finding.verdict.value if finding.verdict and finding.kind == "safety" else None
    return {
        "kind": finding.kind,
        "verdict": verdict,
        "rule": finding.rule or None,
        "profile": finding.profile.value if finding.profile else None,
        "source": finding.source or None,
        "status": finding.status or None,
        "deadline": instant(finding.deadline, zone) if finding.deadline else None,
        "text": words(finding.text),
        "lift_by": list(finding.lift_by),
    }
