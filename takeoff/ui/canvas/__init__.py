"""The plan on screen.

``pieces`` decides without Qt what is drawn, with the sheets' own shapes; ``paths`` turns shapes
into Qt's paths, pens and brushes; ``items`` owns every item by id; ``linework`` tiles the
imported drawing; ``view`` pans, zooms and hands mouse and keys to the current ``tool``.
"""
