"""An unknown never lets an old three-wire feeder stay, and knowing more never makes staying less safe."""

from hypothesis import given
from hypothesis import strategies as st

from driploop.editions import edition_names, load_edition
from driploop.grounding import three_wire_feeder
from driploop.installation import Run

FIELDS = {
    "egc": [None, "none", "wire", "raceway", "armor"],
    "metal_paths": [None, (), ("water pipe",), ("fence", "other")],
    "gfpe_upstream": [None, True, False],
    "neutral_size": [None, "10 AWG", "6 AWG", "2 AWG"],
    "metal": [None, "copper", "aluminum"],
    "is_new": [True, False],
    "wires": [None, 3],
}
runs = st.fixed_dictionaries({name: st.sampled_from(values) for name, values in FIELDS.items()})
amperes = st.sampled_from([None, 10.0, 60.0])


@given(runs, amperes, amperes, amperes, st.sampled_from(edition_names()))
def test_only_a_feeder_with_every_condition_shown_may_stay(fields, load_a, ocpd_a, ampacity_a, edition):
    answer = three_wire_feeder(
        Run(id="old", **fields),
        neutral_load_a=load_a,
        ocpd_a=ocpd_a,
        neutral_ampacity_a=ampacity_a,
        edition=load_edition(edition),
    )
    if answer.may_stay:
        assert fields["metal_paths"] == ()
        assert fields["gfpe_upstream"] is False
        assert fields["is_new"] is False
        assert fields["egc"] in ("none", None)
        assert fields["egc"] == "none" or fields["wires"] == 3
        assert None not in (fields["neutral_size"], fields["metal"], load_a, ocpd_a, ampacity_a)
        assert load_a <= ampacity_a
        assert not answer.against
    else:
        assert answer.why
