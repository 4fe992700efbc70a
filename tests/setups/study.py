"""Print the share of acted clips whose setups are right, by condition: `python tests/setups/study.py --seeds 0-199`."""

import argparse
import collections
from concurrent.futures import ProcessPoolExecutor

from acted_clips import acted_clip, what_is_wrong

from putt_posture.errors import SetupNotFound
from putt_posture.setups import find_setups


def judge(seed_and_view: tuple[int, str]) -> tuple[int, str, frozenset[str], str]:
    """Return seed, view, labels, and what is wrong."""
    seed, view = seed_and_view
    acted = acted_clip(seed, view)
    try:
        setups = find_setups(acted.track, acted.clip)
    except SetupNotFound:
        setups = None
    return seed, view, acted.labels, what_is_wrong(acted, setups)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0-199", help="first-last")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--failures", action="store_true", help="name each clip that is wrong")
    given = parser.parse_args()
    first, last = map(int, given.seeds.split("-"))
    clips = [(seed, view) for seed in range(first, last + 1) for view in ("down_the_line", "face_on")]
    with ProcessPoolExecutor(max_workers=given.jobs) as pool:
        judged = list(pool.map(judge, clips, chunksize=8))
    by_label = collections.defaultdict(list)
    for *_, labels, wrong in judged:
        for label in {"all", *labels}:
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
