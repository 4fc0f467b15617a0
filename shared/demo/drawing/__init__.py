"""The drawing of the demo story: inking tools, its people, its props and its pages."""
