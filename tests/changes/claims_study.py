"""How often the sentences of a comparison and of a history are wrong, by simulated students.

    .venv/bin/python tests/changes/claims_study.py                       # all tables, as in DEVELOPERS.md
    .venv/bin/python tests/changes/claims_study.py --runs 400            # quicker
    .venv/bin/python tests/changes/claims_study.py --keep-lesson FOLDER  # the budgets anew, from a result folder

Three lessons of a student are drawn: before, after, and a later look. What is counted is what the program says of them:
its changes, its verdicts and its headlines. "The noise" of a measure is the margin that the program prints for its
change, 1.96 standard uncertainties or a little more; "twice the noise" is a true change of twice that.
"""

import argparse
import statistics
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from attrs import field, frozen

sys.path.insert(0, str(Path(__file__).parent))

from simulated_students import NAMES, SHARES, Draw, draw_history, keep_typical_lesson

from putt_posture.changes import find_changes
from putt_posture.documents import change_rows
from putt_posture.history import find_courses, find_putter_changes
from putt_posture.pages.history_answer import write_answer
from putt_posture.values import MeasureName

MOMENTS: Final = ["before", "after", "check"]
TWICE: Final = 2.0
USUAL_SCATTER: Final = 2 / 3
"""Of what is judged, which is on the cautious side."""
FOLLOWED: Final[tuple[MeasureName, ...]] = tuple(name for name in NAMES if name != "putter_length")
"""What a rebuild may change here; the putter's own length is left out, as its change is no posture."""


@frozen(kw_only=True)
class Story:
    """What truly happens: so many measures are rebuilt by so many noises, and a share of it is gone at the later look.

    Of `gone`, one share a rebuilt measure, repeated as need be.
    """

    rebuilt: int
    gone: tuple[float, ...] = (0.0,)
    noises: float = TWICE


STORIES: Final[Mapping[str, Story]] = {
    "nothing changed": Story(rebuilt=0),
    "one rebuilt, held": Story(rebuilt=1),
    "one rebuilt, half gone": Story(rebuilt=1, gone=(0.5,)),
    "one rebuilt, all gone": Story(rebuilt=1, gone=(1.0,)),
    "three rebuilt, held": Story(rebuilt=3),
    "three rebuilt by twice as much, held": Story(rebuilt=3, noises=2 * TWICE),
    "three rebuilt by twice as much, half gone": Story(rebuilt=3, gone=(0.5,), noises=2 * TWICE),
    "eight rebuilt by twice as much, seven all gone": Story(rebuilt=8, gone=(*[1.0] * 7, 0.0), noises=2 * TWICE),
}


@frozen(kw_only=True)
class Counts:
    """What was said in all runs of one story; each is a number of runs but where it says otherwise.

    Attributes
    ----------
    runs : int
    headlines : Counter of str
        Those of the history, numbers in them written n.
    verdicts : Counter of Verdict
        Over the rebuilt measures of all runs.
    said : Counter of str
        Other sentences, see `_listen`.
    """

    runs: int
    headlines: Counter[str] = field(factory=Counter)
    verdicts: Counter[str] = field(factory=Counter)
    said: Counter[str] = field(factory=Counter)

    def share(self, what: str) -> float:
        """Return how often something of `said` was, a run."""
        return self.said[what] / self.runs

    @property
    def power(self) -> float:
        """Which share of the rebuilt measures a comparison names; NaN where nothing is rebuilt."""
        rebuilt = self.said["rebuilt"]
        return self.said["compare: names a rebuilt one"] / rebuilt if rebuilt else float("nan")

    def headline(self, *starts: str) -> float:
        """Return how often the headline began in one of some ways."""
        return sum(count for text, count in self.headlines.items() if text.startswith(starts)) / self.runs

    def verdict(self, *which: str) -> float:
        """Return which share of the rebuilt measures had one of some verdicts."""
        return sum(self.verdicts[each] for each in which) / max(self.verdicts.total(), 1)


def study(story: Story, how: Draw, *, runs: int, seed: int, follow: bool = True) -> Counts:
    """Draw students, and count what the program says of them; without `follow` what a comparison says alone."""
    drawn = np.random.default_rng([seed, how.setups])
    noise = find_noise(how)
    found = Counts(runs=runs)
    for _ in range(runs):
        names = [str(each) for each in drawn.choice(FOLLOWED, size=story.rebuilt, replace=False)]
        signs = drawn.choice([-1.0, 1.0], size=story.rebuilt)
        gone = [story.gone[place % len(story.gone)] for place in range(story.rebuilt)]
        made = {name: sign * story.noises * noise[name] for name, sign in zip(names, signs, strict=True)}
        later = {name: made[name] * (1 - share) for name, share in zip(names, gone, strict=True)}
        history = draw_history(drawn, how, [{}, made, later], MOMENTS)
        _compare(found, history, made)
        found.said["rebuilt"] += len(made)
        if follow:
            _follow(found, history, made, dict(zip(names, gone, strict=True)))
    return found


def _compare(found: Counts, history, made: Mapping[str, float]) -> None:
    """Count what a comparison of the first two lessons says."""
    rows = change_rows(find_changes(history.visits[0].measured, history.visits[1].measured))
    wrong = [row for row in rows if row.real and row.name not in made]
    found.said["compare: names one that did not change"] += bool(wrong)
    found.said["compare: passes its own margin, of those that did not change"] += sum(
        row.real or row.maybe for row in rows if row and row.name not in made
    )
    found.said["compare: names a rebuilt one"] += sum(row.real for row in rows if row.name in made)


def _follow(found: Counts, history, made: Mapping[str, float], gone: Mapping[str, float]) -> None:
    """Count what a history says."""
    courses = find_courses(history, find_changes=find_changes)
    answer = write_answer(history, courses)
    found.headlines["".join("n" if each.isdigit() else each for each in answer.headline)] += 1
    found.verdicts.update(courses[name].verdict for name in made)
    by = {
        verdict: {name for name, each in courses.items() if each.verdict == verdict}
        for verdict in ("back", "held", "unsure", "further", "moved")
    }
    not_back = {name for name in NAMES if not gone.get(name)}
    found.said["history: lists one as gone back that is not"] += bool(by["back"] & not_back)
    found.said["history: says that one went on the same way that did not"] += bool(by["further"])
    found.said["history: lists one as held that is half gone or more"] += bool(
        {name for name in by["held"] | by["further"] if gone.get(name, 0.0) >= 0.5}
    )
    found.said["history: names one as rebuilt that is not"] += bool(
        set().union(*(by[each] for each in ("back", "held", "unsure", "further"))) - set(made)
    )
    found.said["history: says that one moved that did not"] += bool(by["moved"] - {n for n in made if gone.get(n)})
    changed = {name for name in made if gone[name] < 1}
    found.said["history: since the first visit, names one that did not change"] += bool(
        {name for name, each in courses.items() if each.since_first and each.since_first.real} - changed
    )
    steps = [(name, step) for name, each in courses.items() for step in each.steps if step.change.real]
    false = sum(not (name in made and (step.start == 0 or gone[name])) for name, step in steps)
    found.said["history: false solid lines, as a share of all of a page"] += false / max(len(steps), 1)
    suggested = [each for each in find_putter_changes(history) if each.kind == "suggested"]
    found.said["history: marks a new suggested length"] += bool(suggested)


@cache
def find_noise(how: Draw, *, runs: int = 40) -> Mapping[MeasureName, float]:
    """Return what the program prints as the margin of each measure's change, the middle of many lessons."""
    drawn = np.random.default_rng(1)
    margins: dict[MeasureName, list[float]] = {name: [] for name in NAMES}
    for _ in range(runs):
        one, two = (each.measured for each in draw_history(drawn, how, [{}, {}], MOMENTS[:2]).visits)
        for name, change in find_changes(one, two).measures.items():
            if name in margins:
                margins[name].append(change.smallest_alone)
    return {name: statistics.median(each) for name, each in margins.items()}


COLUMNS: Final[Mapping[str, Callable[[Counts], float]]] = {
    "compare: false change": lambda each: each.share("compare: names one that did not change"),
    "compare: rebuilt named": lambda each: each.power,
    "so far it stuck": lambda each: each.headline("So far it stuck"),
    "held in n of n": lambda each: each.headline("Held so far"),
    "cannot be told yet": lambda each: each.headline("Not certain"),
    "part went back": lambda each: each.headline("Part of it"),
    "most": lambda each: each.headline("Most of it"),
    "it went back": lambda each: each.headline("It went"),
    "nothing to hold": lambda each: each.headline("Nothing to hold"),
    "of the rebuilt: held": lambda each: each.verdict("held", "further") if each.verdicts else float("nan"),
    "back": lambda each: each.verdict("back") if each.verdicts else float("nan"),
}


def _print_stories(runs: int) -> None:
    print("\n## What is said, % of students\n")
    print(f"| what truly happened | setups | shared | {' | '.join(COLUMNS)} |")
    print("|---" * (3 + len(COLUMNS)) + "|")
    for title, story in STORIES.items():
        for setups, sharing in _conditions(story):
            how = Draw(setups=setups, sharing=SHARES[sharing], scatter=USUAL_SCATTER)
            found = study(story, how, runs=runs, seed=1)
            cells = " | ".join(_percent(column(found)) for column in COLUMNS.values())
            print(f"| {title} | {setups} | {sharing} | {cells} |", flush=True)


def _conditions(story: Story) -> Iterator[tuple[int, str]]:
    """Yield all of them for the plain stories, and the usual one for those of many measures."""
    if story.rebuilt <= 1:
        yield from ((setups, "as assumed") for setups in (1, 2))
    yield 3, "as assumed"
    if story.rebuilt <= 1:
        yield 5, "as assumed"
        yield from ((3, sharing) for sharing in SHARES if sharing != "as assumed")


def _print_scatter(runs: int) -> None:
    print("\n## Students who scatter more or less than is judged: nothing changed; one rebuilt by twice the noise\n")
    print("| scatter, of what is judged | setups | false change, % | rebuilt named, % |\n|---|---|---|---|")
    for scatter in (0.5, USUAL_SCATTER, 1.0, 1.5, 2.0):
        for setups in (1, 2, 3, 5):
            how = Draw(setups=setups, sharing=SHARES["as assumed"], scatter=scatter)
            null = study(STORIES["nothing changed"], how, runs=runs, seed=2, follow=False)
            one = study(STORIES["one rebuilt, held"], how, runs=runs, seed=3, follow=False)
            false = COLUMNS["compare: false change"](null)
            print(f"| {scatter:.2g} | {setups} | {_percent(false)} | {_percent(one.power)} |", flush=True)


def _print_sentences(runs: int) -> None:
    print("\n## How often each sentence is wrong, % of pages, three setups, shared as assumed\n")
    print("| what is said | " + " | ".join(STORIES) + " |\n" + "|---" * (1 + len(STORIES)) + "|")
    how = Draw(setups=3, sharing=SHARES["as assumed"], scatter=USUAL_SCATTER)
    found = [study(story, how, runs=runs, seed=4) for story in STORIES.values()]
    for what in dict.fromkeys(what for each in found for what in each.said if what != "rebuilt"):
        print(f"| {what} | {' | '.join(_percent(each.share(what)) for each in found)} |", flush=True)


def _percent(share: float) -> str:
    return "" if np.isnan(share) else f"{100 * share:.1f}" if share < 0.1 else f"{100 * share:.0f}"


def _main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=2000, help="students for each row")
    parser.add_argument("--keep-lesson", type=Path, metavar="FOLDER", help="take the budgets from a result folder")
    given = parser.parse_args()
    if given.keep_lesson is not None:
        keep_typical_lesson(given.keep_lesson / "measures.json")
        return
    _print_stories(given.runs)
    _print_scatter(given.runs)
    _print_sentences(given.runs)


if __name__ == "__main__":
    _main()
