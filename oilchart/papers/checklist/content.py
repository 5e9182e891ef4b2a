"""A bench checklist as words: stages in working order, what is done at each point, do-not points,
legend and sign-off."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.point_list import (
    Avoid,
    Document,
    Keeper,
    Lubricant,
    Order,
    Point,
    PointList,
    Stage,
    WearPart,
)
from oilchart.core.records.findings import Found, Left
from oilchart.core.records.job import UnsafeMark
from oilchart.core.records.machine_record import struck
from oilchart.core.records.note import Note
from oilchart.core.records.paper_style import PaperStyle
from oilchart.papers.danger_words import danger_line
from oilchart.papers.drawing.picture import Picture, pictures
from oilchart.papers.photos import ShownPhoto
from oilchart.papers.wording import (
    TO_BE_TOLD,
    capital,
    counted,
    day_words,
    edition_words,
    lubricant_words,
    minutes_words,
    month_words,
    needle_words,
    short_day,
    tested_elsewhere_words,
)

DEFERS = "The maker's manual, local rules and licensed practice come before this list."


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendLine:
    """A lubricant of the list.

    Args:
        short: as the steps name it.
        full: as it is bought: with its grade or class and what that means.
    """

    short: str
    full: str
    belongs: str
    never: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """What is filled in by hand when the work is signed off; a wide one takes a line for itself and
    gives words to ring."""

    label: str
    wide: bool = False


SIGNED = (
    Blank(label="Tested by sewing, sample kept: yes / no", wide=True),
    Blank(label="Work done by (name, signature)"),
    Blank(label="Date"),
)
SIGNED_ELECTRIC = (
    Blank(label="Electrical check: passed / not passed, do not plug in (ring one)", wide=True),
    Blank(label="Checked by (name, signature)"),
    Blank(label="Readings: insulation, earth"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistStep:
    """One point of the list.

    Args:
        number: its own in the list; on the drawing that shows the place.
        view: name of that drawing, None where no drawing shows it.
        what: the work in full.
        lubricant, amount: with what and how much; None where neither is used.
        later: why it is not planned this time, for a point that may wait.
        power: it needs current.
        proof: it counts as done by a named electrical check alone.
        safety: it is left out for a reason only.
        struck: it needs current and is not done while the machine is unsafe.
        last_left: how it was left at the last service, where that wants a look now, or that it was
            left out.
        shorter: its interval on this machine, where that is shorter than the list's.
    """

    id: str
    number: int
    view: str | None
    work: str
    where: str
    what: str
    how_often: str
    lubricant: str | None
    amount: str | None
    material: str | None
    minutes: Fraction
    deep: bool
    owners: bool
    caution: str | None
    why: str | None
    later: str | None
    power: bool = False
    proof: bool = False
    safety: bool = False
    struck: bool = False
    last_left: str | None = None
    shorter: str | None = None

    @property
    def planned(self) -> bool:
        """Whether it is done this time."""
        return self.later is None and not self.struck


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistStage:
    """One opening of the machine: its caution, what is opened, the points and what is closed.

    Args:
        power: those sentences of `open` and `close` that need current.
        struck: those of them that are not done while the machine is unsafe.
    """

    id: str
    name: str
    caution: str | None
    open: tuple[str, ...]
    steps: tuple[ChecklistStep, ...]
    close: tuple[str, ...]
    power: frozenset[str] = frozenset()
    struck: frozenset[str] = frozenset()

    @property
    def is_struck(self) -> bool:
        """Whether nothing of its work can be done while the machine is unsafe."""
        return all(step.struck for step in self.steps) and bool(self.struck.intersection(self.open))


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """A bench checklist for a model, or for one machine's next service.

    Args:
        heading: lines that say which machine it is, the most important first.
        dangers: what makes the machine unsafe, a line each; they stand before all else.
        stay: what is known of its stay in the shop, each with what it is; the owner's complaint
            first.
        has_plug: something about it could be unsafe at the mains.
        electric: there is something to check and test at the mains.
        minutes: of all steps that are done this time, in words.
        edition: code of the list.
        needle: system and which way the flat faces.
        lubricants: a legend of each that is used.
        photos: of the machine's stay, for the page on a screen; paper shows none.
        style: the shop's colour, logo and line at the foot.
        kept_under: the shop's own random name, the machine and its stay, under which a browser
            keeps what is noted on the list's page; empty where the page keeps nothing past its tab.
    """

    title: str
    model: str
    machine: str | None
    on: date
    heading: tuple[str, ...]
    notes: tuple[str, ...]
    pictures: tuple[Picture, ...]
    stages: tuple[ChecklistStage, ...]
    avoids: tuple[Avoid, ...]
    lubricants: tuple[LegendLine, ...]
    wear_parts: tuple[WearPart, ...]
    documents: tuple[Document, ...]
    needle: str
    minutes: str
    electric: bool
    edition: str
    has_plug: bool = False
    dangers: tuple[str, ...] = ()
    stay: tuple[tuple[str, str], ...] = ()
    found_words: tuple[str, ...] = tuple(Found)
    left_words: tuple[str, ...] = tuple(Left)
    defers: str = DEFERS
    invented: bool = False
    style: PaperStyle = field(default_factory=PaperStyle)
    photos: tuple[ShownPhoto, ...] = ()
    kept_under: str = ""

    @property
    def steps(self) -> tuple[ChecklistStep, ...]:
        """All steps, in working order."""
        return tuple(step for stage in self.stages for step in stage.steps)

    @property
    def sign_off(self) -> tuple[Blank, ...]:
        """What is filled in and signed when all is done."""
        return (*SIGNED, *(SIGNED_ELECTRIC if self.electric else ()))


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchMachine:
    """The machine a checklist is for, as far as it is known; nothing of it where the list is its
    model's.

    Args:
        schedule: its next service says which deep points may wait.
        notes: what was noted of it.
        dangers: what makes it unsafe now.
        last_left: how points were left at its last service, by id.
        stay: of a machine that is in the shop, or was lately, as the list tells it.
        seized: the head is stuck: its opening steps stand before all work.
    """

    schedule: Schedule | None = None
    owner: str | None = None
    serial: str = ""
    notes: tuple[Note, ...] = ()
    dangers: tuple[UnsafeMark, ...] = ()
    last_left: Mapping[str, Left] = field(default_factory=dict)
    stay: tuple[tuple[str, str], ...] = ()
    seized: bool = False


def checklist(
    point_list: PointList,
    *,
    drawings: ModelDrawings,
    on: date,
    machine: BenchMachine | None = None,
    invented: bool = False,
    style: PaperStyle | None = None,
) -> Checklist:
    """Write a checklist: for the model, or for one machine's next service."""
    machine = machine or BenchMachine()
    schedule = machine.schedule
    stages = _stages(point_list, machine.seized)
    ordered = [point for _, points in stages for point in points]
    later, told = {} if schedule is None else _later(schedule), _last_time(machine)
    used = {point.lubricant.id: point.lubricant for point in ordered if point.lubricant is not None}
    off = struck(point_list, machine.dangers)
    waiting = off.union(later)
    minutes = sum(
        (point.minutes for point in ordered if point.id not in waiting), start=Fraction(0)
    )
    return Checklist(
        title=f"Bench checklist: {point_list.name}",
        model=point_list.id,
        machine=None if schedule is None else schedule.machine.number,
        on=on,
        heading=_heading(point_list, machine),
        notes=(
            *(f"Note: {each.words}" for each in machine.notes),
            *_notes(schedule),
            *tested_elsewhere_words(point_list),
        ),
        pictures=pictures(drawings, ordered),
        stages=tuple(
            _stage(
                stage,
                tuple(_step(point, drawings, later, told.get(point.id), off) for point in points),
                unsafe=bool(machine.dangers),
            )
            for stage, points in stages
        ),
        avoids=point_list.avoids,
        lubricants=tuple(_legend_line(lubricant) for lubricant in used.values()),
        wear_parts=point_list.wear_parts,
        documents=point_list.documents,
        needle=needle_words(point_list),
        has_plug=point_list.has_plug,
        dangers=tuple(danger_line(mark) for mark in machine.dangers),
        stay=machine.stay,
        electric=point_list.has_plug and point_list.tested_here,
        edition=point_list.edition.code,
        minutes=minutes_words(minutes),
        invented=invented,
        style=style or PaperStyle(),
    )


def _stages(point_list: PointList, seized: bool) -> list[tuple[Stage, tuple[Point, ...]]]:
    """The stages in which something is done, with their points in working order; each point
    once."""
    mine = {stage.id: stage for stage in point_list.order_of_work(seized=seized)}
    stages = []
    for stage in point_list.stages:
        points = point_list.at_stage(stage.id)
        found = mine.get(stage.id)
        # the list has points where the order of work has no step for such a machine
        if found is None and points:
            found = replace(stage, open=(), close=(), caution=())
        if found is not None and (found.open or found.close or points):
            stages.append((found, points))
    return stages


def _stage(stage: Stage, steps: tuple[ChecklistStep, ...], *, unsafe: bool) -> ChecklistStage:
    """A stage as words.

    Args:
        unsafe: what the machine runs for is not done.
    """
    power = frozenset(order.words for order in (*stage.open, *stage.close) if order.power)
    return ChecklistStage(
        id=stage.id,
        name=stage.name,
        caution=_sentences(stage.caution),
        open=tuple(order.words for order in stage.open),
        steps=steps,
        close=tuple(order.words for order in stage.close),
        power=power,
        struck=power if unsafe else frozenset(),
    )


def _legend_line(lubricant: Lubricant) -> LegendLine:
    return LegendLine(
        short=lubricant.home,
        full=lubricant_words(lubricant),
        belongs=lubricant.belongs,
        never=lubricant.never,
    )


def _sentences(orders: Sequence[Order]) -> str | None:
    return " ".join(order.words for order in orders) or None


def _step(
    point: Point,
    drawings: ModelDrawings,
    later: Mapping[str, str],
    last_left: str | None,
    off: Container[str],
) -> ChecklistStep:
    place = drawings.place(point)
    return ChecklistStep(
        id=point.id,
        number=point.number,
        view=None if place is None else drawings.view(place.view).name,
        work=point.work.capitalize(),
        where=point.where,
        what=point.do or "",
        how_often=point.every.words,
        lubricant=None if point.lubricant is None else point.lubricant.home,
        amount=point.amount,
        material=point.material,
        minutes=point.minutes,
        deep=point.deep,
        owners=point.keeper is Keeper.OWNER,
        caution=point.caution,
        why=point.why,
        later=None if point.id in off else later.get(point.id),
        power=point.test_run,
        proof=point.proof is not None,
        safety=point.safety and point.keeper is Keeper.BENCH,
        struck=point.id in off,
        last_left=last_left,
        shorter=f"every {point.every.here}" if point.every.here else None,
    )


def _last_time(machine: BenchMachine) -> dict[str, str]:
    """What last time has left to say of points, by id: how one was left that wants a look now, or
    that it was left out though it was planned."""
    told = {
        point: f"left last time: {left}"
        for point, left in machine.last_left.items()
        if left is not Left.GOOD
    }
    for plan in () if machine.schedule is None else machine.schedule.points:
        if plan.carried_over is not None:
            since = f"carried over since {short_day(plan.carried_over)}, when it was left out"
            told[plan.point.id] = "; ".join([since, *filter(None, [told.get(plan.point.id)])])
    return told


def _later(schedule: Schedule) -> dict[str, str]:
    """What may wait: the deep points that are not planned for the next service, and until when."""
    planned: Sequence[Point] = schedule.services[0].points if schedule.services else ()
    put_off = {}
    for plan in schedule.points:
        if plan.point.deep and plan.point not in planned:
            due = None if plan.due is None else plan.due.likely
            put_off[plan.point.id] = (
                "not this time" if due is None else f"not this time: due {month_words(due)}"
            )
    return put_off


def _heading(point_list: PointList, machine: BenchMachine) -> tuple[str, ...]:
    schedule = machine.schedule
    number = None if schedule is None else schedule.machine.number
    served = None if schedule is None else schedule.machine.served
    serial = f"serial {machine.serial}" if machine.serial else None
    parts = [part for part in (number, machine.owner, serial) if part]
    lines = [" · ".join(parts)] if parts else []
    lines.append(
        " · ".join(part for part in (point_list.maker, point_list.name, point_list.years) if part)
    )
    lines.append(capital(edition_words(point_list)))
    if schedule is not None:
        lines.append("Never served here" if served is None else f"Last service {day_words(served)}")
    return tuple(lines)


def _notes(schedule: Schedule | None) -> tuple[str, ...]:
    if schedule is None:
        return ()
    told = [] if schedule.use is None else [f"Use as told: {schedule.use.words}"]
    under = [condition.name for condition in schedule.machine.conditions]
    told += [f"Works under: {', '.join(under)}"] if under else []
    return (*told, *(TO_BE_TOLD[notice] for notice in schedule.notices))


def change_words(part: WearPart) -> str:
    """When a part is changed: after 5 years or after 800 hours."""
    limits = [
        counted(limit, unit)
        for limit, unit in ((part.replace_years, "year"), (part.replace_hours, "hour"))
        if limit is not None
    ]
    return f"after {' or '.join(limits)}" if limits else "when worn"


def stock_words(part: WearPart) -> str:
    """How many of a part are kept."""
    return f"at least {part.stock_minimum}" if part.stock_minimum else "as needed"


def signed_words(words: Iterable[str], signs: Mapping[str, str]) -> str:
    """Words of what is noted, each with the sign that may stand in its place: good, dry (D)."""
    by_word = {word: sign for sign, word in signs.items()}
    return ", ".join(f"{word} ({by_word[word]})" if word in by_word else word for word in words)
