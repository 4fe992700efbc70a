"""The report of a lesson: what it says, in order, set as HTML and as PDF."""

from collections.abc import Iterator, Mapping
from datetime import date

import attrs
from attrs import evolve, frozen

from putt_posture.documents.tables import Row, rows_of, rows_of_measures
from putt_posture.drawing.colours import PART_COLOURS, PART_TITLES
from putt_posture.drawing.step import StepDrawing
from putt_posture.drawing.stills import AnnotatedStill
from putt_posture.figures import (
    format_both,
    format_day,
    format_distance,
    format_given,
    format_imperial,
    format_interval,
    format_length,
    format_margin,
    format_stature,
    format_time,
)
from putt_posture.measures import LENGTH_CONVENTION
from putt_posture.pages.findings_section import (
    FindingsSection,
    PlanSection,
    StepRow,
    find_view,
    write_findings,
    write_plan,
    write_steps,
)
from putt_posture.pages.interview import answers_of
from putt_posture.pages.setting import (
    CLIP_POLICY,
    NAMELESS,
    POLICY,
    Fact,
    Paper,
    Plate,
    as_typed,
    as_uri,
    ending_of,
    render_page,
    typeset,
)
from putt_posture.pages.stroke_numbers import StrokeSection, write_stroke_numbers
from putt_posture.pages.wanted_setup import ChangeSection
from putt_posture.shown_units import AsIs, shows_inches
from putt_posture.units import CM_PER_INCH
from putt_posture.values import (
    VIEW_TITLES,
    ClubSpec,
    Estimate,
    Fit,
    Lesson,
    LessonRecord,
    MeasureName,
    Setup,
    Student,
    View,
    ViewResult,
)
from putt_posture.wording import (
    CAUTIONS,
    FACES,
    FACES_HIDDEN,
    NO_NORM,
    SCALE_SOURCES,
    UNCERTAINTY,
    say_what_was_filmed,
)

__all__ = ["LengthBox", "Report", "Source", "report_as_html", "report_as_pdf", "write_record", "write_report"]


@frozen(kw_only=True)
class LengthBox:
    """The length suggestion.

    Attributes
    ----------
    length, length_metric : str
        In inches and in centimetres with margins; empty where absent.
    interval : str
        The 95 % interval in both.
    stock : str
        The nearest half inch.
    advice : str
        What to do about the putter in use, as on the spec sheet; empty where that is not known.
    lie : str
        Angle of the shaft above the ground, or why it is absent.
    absent : str
        Why there is no suggestion; empty where there is one.
    convention : str
        From where to where a putter is measured.
    evidence : tuple of Fact
        Each way to a length: its title, and its number with what it rests on.
    assumptions : tuple of str
    disagreements : tuple of str
        Where two ways to a length differ, why, and what to measure next.
    toe_lift : str
        How the sole of the putter stands at that lie; empty where it is not known.
    """

    length: str
    length_metric: str
    interval: str
    stock: str
    lie: str
    absent: str
    convention: str
    evidence: tuple[Fact, ...]
    assumptions: tuple[str, ...]
    disagreements: tuple[str, ...] = ()
    toe_lift: str = ""
    advice: str = ""


@frozen(kw_only=True)
class Source:
    """Where the numbers of one view come from."""

    title: str
    facts: tuple[Fact, ...]


@frozen(kw_only=True)
class Report:
    """The text of a report, from top to bottom; findings and plan are None where they were not looked for."""

    student: str
    line: str
    facts: tuple[Fact, ...]
    findings: FindingsSection | None
    steps: tuple[StepRow, ...]
    plan: PlanSection | None
    length: LengthBox
    plates: tuple[Plate, ...]
    uncertainty: str
    no_norm: str
    rows: tuple[Row, ...]
    absent_rows: tuple[Row, ...]
    warnings: tuple[str, ...]
    sources: tuple[Source, ...]
    cautions: tuple[str, ...]
    versions: tuple[Fact, ...]
    change: ChangeSection | None = None
    stroke: StrokeSection | None = None
    answers: tuple[Fact, ...] = ()
    """What the student said; for the coach's page alone, not for the PDF."""


def write_report(
    lesson: Lesson,
    *,
    stills: tuple[AnnotatedStill, ...],
    steps: Mapping[MeasureName, StepDrawing] | None = None,
    change: ChangeSection | None = None,
    stroke: StrokeSection | None = None,
    made_on: date | None = None,
) -> Report:
    """Return the text of the report.

    Parameters
    ----------
    lesson : Lesson
    stills : tuple of AnnotatedStill
        For the captions.
    steps : mapping of MeasureName to StepDrawing, optional
        The drawings of the rebuild, by the measure that is drawn.
    change : ChangeSection, optional
        What the wanted setup changes.
    stroke : StrokeSection, optional
        What was measured of the stroke.
    made_on : date, optional
        The day to print; none is printed where it is not given.
    """
    rows = rows_of(lesson)
    findings, plan = lesson.findings, lesson.plan
    shown = sorted(stills, key=lambda each: each.view != find_view(findings)) if findings else stills
    return Report(
        student=as_typed(lesson.student.name or NAMELESS),
        line=", ".join(filter(None, (_say_in_a_line(lesson.student, made_on), as_typed(say_what_was_filmed(lesson))))),
        facts=_student_facts(lesson.student, made_on, faces_hidden=lesson.faces_hidden) + _filmed_facts(lesson),
        findings=write_findings(findings) if findings else None,
        steps=write_steps(lesson.steps, drawings=steps or {}),
        plan=write_plan(plan) if plan else None,
        length=_length_box(lesson.fit, lesson.spec, without_putter=lesson.without_putter),
        plates=tuple(_plate(still, lesson.views[still.view]) for still in shown),
        uncertainty=UNCERTAINTY,
        no_norm=NO_NORM,
        rows=tuple(row for row in rows if row),
        absent_rows=tuple(row for row in rows if not row),
        warnings=tuple(dict.fromkeys((*lesson.warnings, *lesson.posture.warnings))),
        sources=tuple(_source(view, result) for view, result in lesson.views.items()),
        cautions=CAUTIONS,
        versions=_version_facts(lesson.versions),
        change=change,
        stroke=stroke,
        answers=answers_of(lesson.interview),
    )


def write_record(record: LessonRecord) -> Report:
    """Return the text of the report of a stored lesson without pictures, as far as its numbers tell it.

    Parameters
    ----------
    record : LessonRecord
    """
    rows = rows_of_measures(record.measures)
    filmed = as_typed(say_what_was_filmed(record))
    return Report(
        student=as_typed(record.student.name or NAMELESS),
        line=", ".join(filter(None, (_say_in_a_line(record.student, record.made_on), filmed))),
        facts=_student_facts(record.student, record.made_on, faces_hidden=record.faces_hidden) + _filmed_facts(record),
        findings=write_findings(record.findings) if record.findings else None,
        steps=write_steps(record.steps, drawings={}),
        plan=write_plan(record.plan) if record.plan else None,
        length=_number_box(record.putter_length, stock_in=record.stock_length_in, lie=record.lie),
        plates=(),
        uncertainty=UNCERTAINTY,
        no_norm=NO_NORM,
        rows=tuple(row for row in rows if row),
        absent_rows=tuple(row for row in rows if not row),
        warnings=tuple(record.warnings),
        sources=(),
        cautions=CAUTIONS,
        versions=_version_facts(record.versions),
        stroke=None if record.strokes is None else write_stroke_numbers(record.strokes, findings=record.findings),
        answers=answers_of(record.interview),
    )


def report_as_html(report: Report, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `report.html`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to the bytes of a JPEG or SVG
        Embedded as data URIs.
    """
    uris = {name: as_uri(picture) for name, picture in pictures.items()}
    clips = report.stroke is not None and any(view.clip for view in report.stroke.views)
    return render_page("report.html.jinja", report=report, pictures=uris, policy=CLIP_POLICY if clips else POLICY)


def report_as_pdf(
    report: Report, *, pictures: Mapping[str, bytes], made_on: date | None = None, paper: Paper = "a4"
) -> bytes:
    """Return the bytes of `report.pdf`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to the bytes of a JPEG or SVG
        By plate name without an ending.
    made_on : date, optional
        Stamped as the day of creation.
    paper : {"a4", "letter"}
    """
    shown = attrs.asdict(evolve(report, answers=()))
    data = {"report": shown, "colours": dict(PART_COLOURS), "part_titles": dict(PART_TITLES)}
    files = {f"{name}.{ending_of(picture)}": picture for name, picture in pictures.items()}
    return typeset("report.typ", data, pictures=files, made_on=made_on, paper=paper)


def _say_in_a_line(student: Student, made_on: date | None) -> str:
    parts = [format_day(made_on)] if made_on is not None else []
    return ", ".join([*parts, f"{student.handed}-handed", f"{format_stature(student.stature_cm)} tall"])


def _student_facts(student: Student, made_on: date | None, *, faces_hidden: bool) -> tuple[Fact, ...]:
    facts = [
        Fact(name="Putts", says=f"{student.handed}-handed"),
        Fact(
            name="Height",
            says=format_stature(student.stature_cm),
        ),
    ]
    if student.wrist_floor_cm is not None:
        facts.append(Fact(name="Wrist to floor", says=format_length(student.wrist_floor_cm)))
    if student.putter_length_cm is not None:
        facts.append(Fact(name="Putter in use", says=format_length(student.putter_length_cm)))
    if student.putter_lie_deg is not None:
        facts.append(Fact(name="Its lie", says=format_given(student.putter_lie_deg, "deg")))
    table = {"female": "women", "male": "men", None: "women and men together"}[student.sex]
    facts.append(Fact(name="Body table", says=table))
    if made_on is not None:
        facts.append(Fact(name="Report made", says=format_day(made_on)))
    if faces_hidden:
        facts.append(Fact(name=FACES, says=FACES_HIDDEN))
    return tuple(facts)


def _version_facts(versions: Mapping[str, str]) -> tuple[Fact, ...]:
    return tuple(Fact(name=name, says=version) for name, version in versions.items())


def _filmed_facts(lesson: Lesson | LessonRecord) -> tuple[Fact, ...]:
    facts = []
    if lesson.step is not None:
        facts.append(Fact(name="Step of the rebuild", says=as_typed(lesson.step)))
    if lesson.without_putter:
        facts.append(Fact(name="Filmed", says="without putter and ball"))
    return tuple(facts)


def _length_box(fit: Fit, spec: ClubSpec | None, *, without_putter: bool) -> LengthBox:
    return evolve(
        _number_box(fit.putter_length, stock_in=fit.stock_length_in, lie=fit.lie),
        evidence=tuple(
            Fact(name=each.title, says=f"{_length_figure(each.length)}. {each.says}") for each in fit.evidence
        ),
        assumptions=tuple(fit.assumptions),
        disagreements=tuple(fit.disagreements),
        toe_lift=_toe_lift(fit.toe_lift),
        advice=" ".join(_advise(fit, spec, without_putter=without_putter)),
    )


def _number_box(length: Estimate, *, stock_in: float | None, lie: Estimate) -> LengthBox:
    return LengthBox(
        length=format_imperial(length) if length else "",
        length_metric=AsIs(format_margin(length)) if length else "",
        interval=f"{format_interval(length, unit='in')} ({format_interval(length)})" if length else "",
        stock="" if stock_in is None else format_length(stock_in * CM_PER_INCH),
        lie=_figure_or_reason(lie),
        absent=length.absent or "",
        convention=LENGTH_CONVENTION,
        evidence=(),
        assumptions=(),
    )


def _advise(fit: Fit, spec: ClubSpec | None, *, without_putter: bool) -> Iterator[str]:
    if spec is not None and spec.advice != "unknown":
        yield spec.advice_sentence
    if without_putter and fit.putter_length:
        yield "Filmed without a putter: film once more with one before anything is cut or ordered."


def _toe_lift(lift: Estimate | None) -> str:
    if lift is None or not lift:
        return ""
    if lift.low <= 0 <= lift.high:
        return f"Toe and heel of a {lift.method} may be level."
    end = "toe" if lift.value > 0 else "heel"
    figure = format_margin(evolve(lift, value=abs(lift.value)))
    return f"The {end} of a {lift.method} would be {figure} off the ground."


def _length_figure(length: Estimate) -> str:
    return format_both(length) if length else "No number"


def _figure_or_reason(estimate: Estimate) -> str:
    return format_margin(estimate) if estimate else estimate.absent or ""


def _distance(estimate: Estimate) -> str:
    return format_distance(estimate) if estimate else estimate.absent or ""


def _plate(still: AnnotatedStill, result: ViewResult) -> Plate:
    caption = (
        f"{VIEW_TITLES[still.view]}, {_moment(still.time_s, result)}. White dashes are the true vertical and level."
    )
    high, wide = still.annotated.shape[:2]
    return Plate(file=still.view, aspect=wide / high, title=VIEW_TITLES[still.view], caption=caption, says=still.says)


def _moment(time_s: float, result: ViewResult) -> str:
    return "a still picture" if result.clip.kind == "still" else f"at {format_time(time_s)} of {result.clip.name}"


def _source(view: View, result: ViewResult) -> Source:
    clip, scene = result.clip, result.scene
    facts = [Fact(name="File", says=as_typed(clip.name)), Fact(name="SHA-256", says=clip.sha256)]
    facts.append(Fact(name="Picture", says=_picture(result)))
    facts += [
        Fact(
            name=f"Setup {number}" if len(result.setups) > 1 else "Setup",
            says=_setup(setup, still=clip.kind == "still"),
        )
        for number, setup in enumerate(result.setups, 1)
    ]
    scale = f"from {SCALE_SOURCES[scene.scale_source]}"
    if scene.px_per_cm:
        share = 100 * scene.px_per_cm.margin / scene.px_per_cm.value
        size, unit = (CM_PER_INCH, "an inch") if shows_inches() else (1.0, "a centimetre")
        scale = f"{scene.px_per_cm.value * size:.2f} pixels {unit} ± {share:.1f}\N{NO-BREAK SPACE}%, {scale}"
    elif scene.px_per_cm.absent:
        scale = scene.px_per_cm.absent or ""
    facts.append(Fact(name="Scale", says=scale))
    facts.append(Fact(name="Camera roll", says=_figure_or_reason(scene.roll)))
    facts.append(Fact(name="Camera distance", says=_distance(scene.distance_cm)))
    if scene.given:
        facts.append(Fact(name="Given by hand", says=", ".join(scene.given)))
    facts.append(Fact(name="Landmarks", says=result.landmarks.model))
    facts += [Fact(name="Note", says=note) for note in dict.fromkeys((*clip.notes, *result.landmarks.notes))]
    return Source(title=VIEW_TITLES[view], facts=tuple(facts))


def _picture(result: ViewResult) -> str:
    clip = result.clip
    parts = [f"{clip.width} × {clip.height}"]
    if clip.kind == "video":
        parts.append(f"{clip.rate_hz:.4g} frames a second" + (" (varying)" if clip.variable_rate else ""))
    if clip.time_stretch != 1:
        parts.append(f"slowed {clip.time_stretch:g} times")
    if clip.rotation_deg:
        parts.append(f"turned by {clip.rotation_deg}° to stand upright")
    if clip.mirrored:
        parts.append("mirrored as filmed, turned back here")
    return ", ".join(parts)


def _setup(setup: Setup, *, still: bool) -> str:
    if still:
        return " ".join(["the picture itself", *([f"({setup.doubt})"] if setup.doubt else [])])
    times = ", ".join(format_time(each) for each in setup.times_s)
    chosen = "" if setup.chosen_by == "finder" else " Chosen by hand."
    words = "".join(f" {each}" for each in (setup.reason, setup.doubt) if each)
    return f"frames at {times}.{chosen}{words}"
