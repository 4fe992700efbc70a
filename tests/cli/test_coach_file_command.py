"""``putt-posture coach-file``: what it prints can be changed, given back and checked."""

from putt_posture.cli import main


def test_what_is_printed_can_be_used_and_changes_nothing(tmp_path, capsys):
    assert main(["coach-file"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("# What a coach looks for at address")
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    assert main(["coach-file", str(tmp_path / "mine.toml")]) == 0
    assert "can be used. It changes 0 values." in capsys.readouterr().out


def test_what_differs_is_listed(tmp_path, capsys):
    (tmp_path / "mine.toml").write_text("[bands.hand_offset]\nabove = 4\n[wanted]\nknee_flex_deg = 20\n")
    assert main(["coach-file", str(tmp_path / "mine.toml")]) == 0
    said = capsys.readouterr().out
    assert "bands.hand_offset.above: 4 (shipped: 3)" in said
    assert "wanted.knee_flex_deg: 20 (new)" in said


def test_a_mistake_is_one_sentence_with_its_line(tmp_path, capsys):
    (tmp_path / "mine.toml").write_text("\n[bands.hand_offset]\nabove = -4\n")
    assert main(["coach-file", str(tmp_path / "mine.toml")]) == 2
    said = capsys.readouterr().err
    assert "line 3: bands.hand_offset.above: -4 is less than the minimum of 0" in said
    assert said.count("\n") == 1
