"""Misprints that stand in published manuals, fed to the catcher; sound rows of the same manuals pass."""

import pytest

from benchvoice.measure.misprints import doubts
from benchvoice.measure.sheets import parse
from benchvoice.measure.tables import load


def found(rows):
    text = f'title = "test"\nsource = "test"\n{rows}'
    sheet, problems = parse(text, load())
    assert not problems
    return [f"{doubt.what} {doubt.hint}" for doubt in doubts(sheet, load())]


MISPRINTS = [
    # K-86, US Army TM 9-4310-397-14: clearance at most "0.006 in (0.015 mm)".
    ('[valve_guide.clearance]\nunit = "in"\nnew = [0.002, 0.004]\nmax = 0.006\nsource = "p"\n'
     'also = { unit = "mm", max = 0.015 }', "ten times off"),
    # K-87, US Army TM 5-3895-369-14: out of round "0.00015 in (0.038 mm)".
    ('[cylinder_bore.out_of_round]\nunit = "in"\nmax = 0.00015\nsource = "p"\nalso = { unit = "mm", max = 0.038 }',
     "ten times off"),
    # K-88, the same manual: taper "0.003 in (0.76 mm)".
    ('[cylinder_bore.taper]\nunit = "in"\nmax = 0.003\nsource = "p"\nalso = { unit = "mm", max = 0.76 }',
     "ten times off"),
    # K-89, US Army TM 10-3930-653-14&P: rod bearing new 0.01 to 0.066 mm, wear limit 0.03 mm.
    ('[rod_bearing.clearance]\nunit = "mm"\nnew = [0.01, 0.066]\nmax = 0.03\nsource = "p"', "tighter than new parts"),
    # K-90, the same manual: "per 100 mm or 2.937 in".
    ('[connecting_rod.length]\nunit = "mm"\nnominal = 100.0\nsource = "p"\nalso = { unit = "in", nominal = 2.937 }',
     "one digit differs, 2 for 3"),
    # K-50, a car maker's manual: ring gap new 0.010 to 0.016 in, "MAX 0.19".
    ('[top_ring.end_gap]\nunit = "in"\nnew = [0.010, 0.016]\nmax = 0.19\nsource = "p"', "Perhaps 0.019"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "says"), MISPRINTS)
def test_published_misprints_are_flagged(rows, says):
    told = found(rows)
    assert any(says in text for text in told), told


SOUND = [
    # K-35, US Army TM 9-2815-260-24: mains 0.0016 to 0.0043 in, printed 0.041 to 0.109 mm.
    '[main_bearing.clearance]\nunit = "in"\nnew = [0.0016, 0.0043]\nsource = "p"\n'
    'also = { unit = "mm", new = [0.041, 0.109] }',
    # K-36, US Army TM 5-4310-354-14: rods 0.001 to 0.003 in new, 0.005 in (0.127 mm) at most.
    '[rod_bearing.clearance]\nunit = "in"\nnew = [0.001, 0.003]\nmax = 0.005\nsource = "p"\n'
    'also = { unit = "mm", max = 0.127 }',
    # K-37, US Army TM 5-3895-346-14: mains 0.0010 to 0.0040, limit 0.0060 in.
    '[main_bearing.clearance]\nunit = "in"\nnew = [0.0010, 0.0040]\nmax = 0.0060\nsource = "p"',
    # K-38, US Army TM 10-3930-243-34: 0.0013 to 0.0042 in, 0.006 at most.
    '[main_bearing.clearance]\nunit = "in"\nnew = [0.0013, 0.0042]\nmax = 0.006\nsource = "p"',
    # K-39, US Army TM 5-3810-206-35: 0.0030 to 0.0059, replace at 0.008 in.
    '[main_bearing.clearance]\nunit = "in"\nnew = [0.0030, 0.0059]\nmax = 0.008\nsource = "p"',
    # K-40, US Army TM 5-3805-281-24-2: 0.030 to 0.107 mm.
    '[main_bearing.clearance]\nunit = "mm"\nnew = [0.030, 0.107]\nsource = "p"',
    # K-41, US Army TM 5-3895-346-14: shell 0.1245 to 0.1250 in thick, at least 0.1230 when worn.
    '[main_bearing.wall]\nunit = "in"\nnew = [0.1245, 0.1250]\nmin = 0.1230\nsource = "p"',
    # K-65, US Army TM 10-3930-653-14&P: cam journals one and three 0.025 to 0.051 mm, two 0.038 to 0.062 mm.
    '[[cam_bearing.clearance]]\nplace = { journal = 1 }\nunit = "mm"\nnew = [0.025, 0.051]\nsource = "p"\n'
    '[[cam_bearing.clearance]]\nplace = { journal = 2 }\nunit = "mm"\nnew = [0.038, 0.062]\nsource = "p"',
    # K-47, US Army TM 10-3930-653-14&P: camshaft end float 0.05 to 0.28 mm, 0.0020 to 0.0110 in.
    '[camshaft.end_float]\nunit = "mm"\nnew = [0.05, 0.28]\nsource = "p"\n'
    'also = { unit = "in", new = [0.0020, 0.0110] }',
    # K-48, US Army TM 55-1905-223-24-1: 0.012 to 0.020 in, 0.30 to 0.51 mm.
    '[connecting_rod.side_clearance]\nunit = "in"\nnew = [0.012, 0.020]\nsource = "p"\n'
    'also = { unit = "mm", new = [0.30, 0.51] }',
    # K-50, US Army TM 10-3930-653-14&P: top ring 0.25 to 0.40 mm, service limit 1.0 mm.
    '[top_ring.end_gap]\nunit = "mm"\nnew = [0.25, 0.40]\nmax = 1.0\nsource = "p"',
    # K-62, US Army TM 9-2815-257-24: stem at least 0.2323 in (5.90 mm), guide at most 0.2394 in (6.08 mm).
    '[valve.diameter]\nunit = "in"\nmin = 0.2323\nsource = "p"\nalso = { unit = "mm", min = 5.90 }',
    '[valve_guide.diameter]\nunit = "in"\nmax = 0.2394\nsource = "p"\nalso = { unit = "mm", max = 6.08 }',
    # K-66, US Army TM 5-3810-206-35: bore, body and clearance agree.
    '[lifter_bore.diameter]\nunit = "in"\nnew = [1.3125, 1.3135]\nsource = "p"\n'
    '[lifter.diameter]\nunit = "in"\nnew = [1.3100, 1.3110]\nsource = "p"\n'
    '[lifter_bore.clearance]\nunit = "in"\nnew = [0.0015, 0.0035]\nmax = 0.009\nsource = "p"',
]


@pytest.mark.parametrize("rows", SOUND)
def test_sound_rows_of_published_manuals_are_left_alone(rows):
    assert found(rows) == []
