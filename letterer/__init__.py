"""letterer: letters a comic from a plain-text script and a layout.

The library in five lines (the rest is in `letterer.api`):

    from letterer.api import Output, letter
    result = letter("script.txt", "layout.json", Output("out", formats=("svg", "png")))
    for finding in result.findings:
        print(finding)
"""

__version__ = "0.1.0"
