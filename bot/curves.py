"""The core-temperature picture of a load: what was read, the fitted curve, when to pull.

Black on white with thick lines, so that it can be read in the sun; nothing is told by colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import BytesIO
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from bot.render import render
from core.cook import Cook, Phase, replay
from core.cook.around import around_of
from core.cook.forecast import cores_of, forecast_of
from core.facts import Fact, ReadingTaken
from core.model import Clock, Line, Place, Qty, Reading, Span, StepRun, say

if TYPE_CHECKING:
    from core.heat.estimate import Forecast
    from core.heat.pit import Pit

READINGS = 2
"""From so many readings of a load on a picture says more than a line."""

_WIDE = timedelta(minutes=90)  # a likely minute inside hours would be false
_INCHES, _DPI = (8.0, 6.4), 100
_LINE, _MARK, _TEXT = 4.5, 13.0, 18.0
_ROOM = 1.12  # so much more time than the last thing shown


@dataclass(frozen=True, slots=True)
class Curve:
    """What the picture is of: a load, its forecast, fire and readings, since when."""

    title: str
    made: Forecast
    pit: Pit
    readings: Sequence[Reading]
    start: datetime
    now: datetime
    zone: ZoneInfo

    @property
    def until(self) -> datetime:
        """Return the end of the picture: after the late end of the pull, as far as there is one."""
        shown = (self.now, self.made.pull_at, self.made.peak_at)
        last = max(at for at in shown if at is not None)
        if self.made.pull_high is not None and self.made.pull_at is not None:
            # A late end days away would squeeze everything else into a corner.
            last = max(last, min(self.made.pull_high, last + (last - self.now) / 2))
        if self.made.pull_at is None and self.made.curve:
            last = max(last, self.made.curve[-1].at)
        return self.start + max((last - self.start) * _ROOM, timedelta(minutes=20))


def picture_name(cook: Cook, facts: Sequence[Fact]) -> str | None:
    """Return the name of the picture that goes with a reading about to be booked; None for none.

    `core-12.png` is the picture of entry 12 of the cook's log, a reading of a load's core.
    """
    for n, fact in enumerate(facts, start=cook.seq + 1):
        if not isinstance(fact, ReadingTaken) or fact.reading.place is not Place.CORE:
            continue
        about = fact.reading.about
        before = [r for r in cook.readings if r.about == about and r.place is Place.CORE]
        measured = cook.phase(about) is Phase.RUNNING and _run(cook, about) is not None
        if measured and len(before) + 1 >= READINGS:
            return f"core-{n}.png"
    return None


def _run(cook: Cook, key: str) -> StepRun | None:
    """Return a run whose step ends at a core."""
    runs = cook.plan.runs() if cook.plan else ()
    return next((r for r in runs if r.key == key and r.until_core_c is not None), None)


def curve_of(cook: Cook, seq: int) -> Curve | None:
    """Return what the picture of a reading shows: the log as it stood, no later word in it.

    Parameters
    ----------
    cook
        The cook, as far as its log goes.
    seq
        Of the entry that booked the reading.
    """
    then = replay(e for e in cook.entries if e.seq <= seq)
    entry = next((e for e in then.entries if e.seq == seq), None)
    if entry is None or not isinstance(entry.fact, ReadingTaken) or then.cards is None:
        return None
    run = _run(then, entry.fact.reading.about)
    started = then.job(run.key).started if run else None
    if run is None or started is None:
        return None
    now = max(entry.at, started)
    made, around = forecast_of(then, run, now), around_of(then, run, now)
    if made is None or around is None:
        return None
    return Curve(
        title=job_text(then, run),
        made=made,
        pit=around.pit,
        readings=cores_of(then, run),
        start=started,
        now=now,
        zone=then.cards.event.zone,
    )


def job_text(cook: Cook, run: StepRun) -> str:
    """Return a load's name as it is on the tape."""
    name = cook.cards.dish(run.dish).name if cook.cards else run.dish
    return f"{name} {run.unit}"


def drawn_core(cook: Cook, seq: int, lang: str) -> bytes | None:
    """Return the picture of a reading as PNG; None where there is nothing to draw."""
    curve = curve_of(cook, seq)
    return core_curve(curve, lang) if curve is not None else None


def words_of(curve: Curve, lang: str = "en") -> str:
    """Return what the picture says first, for who cannot see it."""
    return _heading(curve, lambda line: render(line, lang, curve.zone, curve.now)).replace(
        "\n", ". "
    )


def core_curve(curve: Curve, lang: str = "en") -> bytes:
    """Return the picture as PNG, under 200 kB.

    Parameters
    ----------
    curve
        What to draw.
    lang
        The reader's language.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    def words(line: Line) -> str:
        return render(line, lang, curve.zone, curve.now)

    figure = Figure(figsize=_INCHES, dpi=_DPI, facecolor="white", layout="constrained")
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    _draw_band(axes, curve)
    _draw_fire(axes, curve, words(say("fire")))
    _draw_core(axes, curve, words(say("core, likely")), words(say("read")))
    _draw_target(axes, curve, words)
    _dress(axes, curve)
    _mark(axes, words(say("now")), (curve.now, axes.get_ylim()[1]), (0, 6))
    figure.suptitle(
        _heading(curve, words), fontsize=_TEXT + 1, fontweight="bold", x=0.01, ha="left"
    )
    out = BytesIO()
    canvas.print_figure(out, format="png", facecolor="white", metadata={"Software": None})
    return out.getvalue()


def _heading(curve: Curve, words: Any) -> str:
    """Return the title and, under it, what the picture says."""
    made = curve.made
    target = Qty(made.target_c, "°C", 0)
    if made.pull_at is None:
        line = say("{target}: can't be forecast", target=target)
    elif made.pull_low is None or made.pull_high is None:
        line = say(
            "Pull {target} · from {pull}, no end known",
            target=target,
            pull=Clock(made.pull_low or made.pull_at),
        )
    elif made.pull_high - made.pull_low > _WIDE:
        line = say("Pull {target} · {low} to {high}", target=target, low=Clock(made.pull_low),
                   high=Clock(made.pull_high))  # fmt: skip
    else:
        line = say(
            "Pull {target} · {pull} ({low}-{high})",
            target=target,
            pull=Clock(made.pull_at),
            low=Clock(made.pull_low),
            high=Clock(made.pull_high),
        )
    return f"{curve.title}\n{words(line)}"


def _draw_band(axes: Any, curve: Curve) -> None:
    """Hatch the band in which four of five such cooks run."""
    inside = [band for band in curve.made.curve if band.at <= curve.until]
    axes.fill_between(
        [band.at for band in inside],
        [band.low_c for band in inside],
        [band.high_c for band in inside],
        facecolor="white",
        edgecolor="black",
        hatch="///",
        linewidth=0.0,
    )


def _draw_fire(axes: Any, curve: Curve, label: str) -> None:
    """Draw the fire as a broken line."""
    seconds, fire = curve.pit.fire(curve.start)
    knots = [(curve.start + timedelta(seconds=s), c) for s, c in zip(seconds, fire, strict=True)]
    inside = [knot for knot in knots if knot[0] <= curve.until] or [(curve.start, curve.pit.set_c)]
    axes.plot(
        [*(at for at, _ in inside), curve.until],
        [*(c for _, c in inside), inside[-1][1]],
        color="black",
        linewidth=_LINE - 1.5,
        linestyle=(0, (4, 2)),
        label=label,
    )


def _draw_core(axes: Any, curve: Curve, likely: str, read: str) -> None:
    """Draw the likely core as a thick line and the readings as rings on it."""
    inside = [band for band in curve.made.curve if band.at <= curve.until]
    axes.plot(
        [band.at for band in inside],
        [band.likely_c for band in inside],
        color="black",
        linewidth=_LINE,
        label=likely,
    )
    cores = [r for r in curve.readings if r.place is Place.CORE and r.unit == "°C"]
    shown = [r for r in cores if curve.start <= r.at <= curve.until]
    if shown:
        axes.plot(
            [r.at for r in shown],
            [r.value for r in shown],
            color="black",
            linestyle="none",
            marker="o",
            markersize=_MARK,
            markerfacecolor="white",
            markeredgewidth=_LINE - 1.0,
            label=read,
        )


def _draw_target(axes: Any, curve: Curve, words: Any) -> None:
    """Mark target, pull and the peak of the rest."""
    made = curve.made
    axes.axhline(made.target_c, color="black", linewidth=2.0)
    axes.axvline(curve.now, color="black", linewidth=2.0, linestyle=(0, (1, 2)))
    target = words(say("{target}", target=Qty(made.target_c, "°C")))
    _mark(axes, target, (curve.start, made.target_c), (8, 8), ha="left")
    if made.pull_at is None or made.peak_at is None:
        return
    peak = made.target_c + made.carry_over_k
    axes.plot(
        [made.pull_at, made.peak_at],
        [made.target_c, peak],
        color="black",
        linewidth=_LINE - 2.0,
        linestyle=(0, (1, 1)),
    )
    for at, core_c, marker, word in (
        (made.pull_at, made.target_c, "v", words(say("pull"))),
        (made.peak_at, peak, "^", words(say("peak at rest"))),
    ):
        axes.plot([at], [core_c], color="black", marker=marker, markersize=_MARK + 4,
                  linestyle="none", label=word)  # fmt: skip
    rise = Span(
        round(made.target_c + made.carry.low_k), round(made.target_c + made.carry.high_k), "°C", 0
    )
    _mark(axes, words(say("peak {rise}", rise=rise)), (made.peak_at, peak), (0, 14), ha="right")


def _mark(
    axes: Any,
    text: str,
    where: tuple[Any, float],
    offset: tuple[int, int],
    ha: str = "center",
) -> None:
    """Write a bold word beside what it names, on white so that hatching leaves it readable."""
    axes.annotate(
        text,
        where,
        textcoords="offset points",
        xytext=offset,
        ha=ha,
        fontsize=_TEXT - 2,
        fontweight="bold",
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )


def _dress(axes: Any, curve: Curve) -> None:
    """Give the axes thick lines, few and large numbers, and a legend in a corner left free."""
    from matplotlib import dates

    ticks: Any = dates  # its makers carry no types
    axes.set_xlim(curve.start, curve.until)
    warmest = max([curve.made.target_c + 20, *(b.high_c for b in curve.made.curve)])
    hottest = max(curve.pit.fire(curve.start)[1])
    # A smoker's fire is worth its room, a sear fire of 300 °C would flatten the core.
    top = max(warmest, hottest) if hottest <= 200 else warmest
    axes.set_ylim(min(0.0, curve.made.now_c - 5), top * 1.08)
    axes.set_ylabel("°C", fontsize=_TEXT, fontweight="bold")
    axes.tick_params(labelsize=_TEXT, width=2.5, length=8)
    axes.xaxis.set_major_locator(ticks.AutoDateLocator(tz=curve.zone, minticks=3, maxticks=6))
    axes.xaxis.set_major_formatter(ticks.DateFormatter("%H:%M", tz=curve.zone))
    for side in axes.spines.values():
        side.set_linewidth(2.5)
    axes.legend(
        fontsize=_TEXT - 2, loc="lower right", framealpha=1.0, edgecolor="black", fancybox=False
    )
