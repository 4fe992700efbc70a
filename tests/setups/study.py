"""Print the share of acted clips whose setups are right, by condition: `python tests/setups/study.py --seeds 0-199`."""

import argparse
import collections
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from acted_clips import acted_clip, started_later, trapped_clip, what_is_wrong

from putt_posture.errors import SetupNotFound
from putt_posture.setups import find_setups, find_setups_together

Judged = tuple[int, str, frozenset[str], str]
"""Seed, view, labels, and what is wrong."""


def judge(seed: int, *, traps: bool = False) -> list[Judged]:
    """Judge both clips of a performance, each by itself and both together, the second phone started later."""
    act = trapped_clip if traps else acted_clip
    pair = {view: act(seed, view) for view in ("down_the_line", "face_on")}
    judged = []
    for view, acted in pair.items():
        try:
            setups = find_setups(acted.track, acted.clip)
        except SetupNotFound:
            setups = None
        judged.append((seed, view, acted.labels, what_is_wrong(acted, setups)))
    later = {**pair, "face_on": started_later(pair["face_on"], 0.37 * (seed % 7))}
    try:
        found = find_setups_together({view: (acted.track, acted.clip) for view, acted in later.items()}).of
    except SetupNotFound:
        found = dict.fromkeys(later)
    for view, acted in later.items():
        label = f"both views, {view.replace('_', ' ')}"
        judged.append((seed, label, frozenset({label}), what_is_wrong(acted, found[view])))
    return judged


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0-199", help="first-last")
    parser.add_argument("--traps", action="store_true", help="with still moments that are no address")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--failures", action="store_true", help="name each clip that is wrong")
    given = parser.parse_args()
    first, last = map(int, given.seeds.split("-"))
    with ProcessPoolExecutor(max_workers=given.jobs) as pool:
        judged = [
            each
            for pair in pool.map(partial(judge, traps=given.traps), range(first, last + 1), chunksize=4)
            for each in pair
        ]
    by_label = collections.defaultdict(list)
    for *_, labels, wrong in judged:
        for label in labels | ({"all, each view by itself"} if len(labels) > 1 else set()):
            by_label[label].append(not wrong)
    for label, right in sorted(by_label.items()):
        print(f"{label:30} {sum(right):4} of {len(right):4}  {100 * sum(right) / len(right):5.1f} %")
    for wrong, count in collections.Counter(wrong for *_, wrong in judged if wrong).most_common():
        print(f"wrong: {wrong:35} {count}")
    if given.failures:
        for seed, view, labels, wrong in judged:
            if wrong:
                print(seed, view, wrong, "|", ", ".join(sorted(labels)))


if __name__ == "__main__":
    main()
