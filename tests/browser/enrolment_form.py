"""The enrolment form, filled as a coach does: nothing is ticked before it was asked for."""

from putt_posture.archive import SCOPE_TITLES


def fill_enrolment(page, name, *, height):
    page.get_by_label("Name").fill(name)
    page.get_by_label("Known to be grown up").check()
    assert page.locator("[name=scopes]:checked").count() == 0  # a consent is not ticked before it was given
    for title in SCOPE_TITLES.values():
        page.get_by_label(title).check()
    page.get_by_label("Who gave the consent").fill(name)
    page.get_by_label("right-handed").check()
    page.get_by_label("Height, barefoot").fill(height)
