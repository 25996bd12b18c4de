"""Questions on what a part is at all, where later answers hang on it."""

from .build import says, verdicts

ASK = "must be asked"
BOX = 'equipment.box = { %s }\nruns.drop = { from = "utility", to = "box", %s }\n'


def test_what_each_enclosure_is_passes():
    assert verdicts("what-each-enclosure-is", BOX % ('kind = "panel"', "")) == []
    assert verdicts("what-each-enclosure-is", BOX % ('fate = "remove"', "")) == []


def test_what_each_enclosure_is_fails():
    [told] = says("what-each-enclosure-is", BOX % ("", ""))
    assert (told.verdict.value, told.where) == (ASK, "equipment.box.kind")


def test_an_unknown_enclosure_that_a_proposal_takes_down_is_asked_about_too():
    from .build import installation

    found = installation(BOX % ("", ""))
    after = installation('equipment.main = { kind = "panel" }')
    told = says("what-each-enclosure-is", after, found=found)
    assert [each.where for each in told] == ["equipment.box.kind"]


def test_who_owns_the_drop_passes():
    assert verdicts("who-owns-the-drop", BOX % ("", 'owner = "utility"')) == []
    assert verdicts("who-owns-the-drop", BOX % ("", 'owner = "customer"')) == []
    past_the_meter = BOX % ("", 'owner = "utility"') + 'equipment.b = {}\nruns.r = { from = "box", to = "b" }'
    assert verdicts("who-owns-the-drop", past_the_meter) == []


def test_who_owns_the_drop_fails():
    [told] = says("who-owns-the-drop", BOX % ("", ""))
    assert (told.verdict.value, told.where) == (ASK, "runs.drop.owner")
