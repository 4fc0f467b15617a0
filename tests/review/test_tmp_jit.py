from __future__ import annotations
import importlib.util,sys
from pathlib import Path
s=importlib.util.spec_from_file_location('lead_m',Path(__file__).with_name('test_leading.py'));m=importlib.util.module_from_spec(s);sys.modules['lead_m']=m;s.loader.exec_module(m)
from lead_m import *
drawn=m.drawn
@settings(max_examples=800)
@given(spoken(), st.sampled_from([STACK, PINWHEEL, GRID]), st.data())
def test_jit(drawn, words, panels, data):
    found = drawn(panels, words)
    assume(found.confident)
    n = st.floats(-72 / 25.4, 72 / 25.4)
    moved = {id: box.shifted(data.draw(n), data.draw(n)) for id, box in words.items()}
    p=[Box(*(v+data.draw(n) for v in box)) for box in panels]
    got=drawn(p, moved)
    assert got.order == found.order, (found, got)
