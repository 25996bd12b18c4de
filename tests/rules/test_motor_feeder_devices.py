"""The device of a feeder of several motors."""

from circuits.test_motor_feeders import WIRE, shed

from .build import says, verdicts

RULE = "motor-feeder-device-not-too-large"


def test_motor_feeder_device_not_too_large_passes():
    assert verdicts(RULE, shed(80)) == []
    # By the wire: 4/0 copper carries 195 A at 60 C.
    assert verdicts(RULE, shed(200, wire=WIRE.replace("6 AWG", "4/0 AWG"))) == []


def test_motor_feeder_device_not_too_large_fails():
    [told] = says(RULE, shed(100))
    assert (told.verdict.value, told.where) == ("must be mended", "runs.feeder.ocpd_a")
